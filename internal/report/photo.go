package report

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
)

// Why a picture can't be kept; StripPhoto wraps one of them.
var (
	ErrNotPicture = errors.New("it is no JPEG, PNG or WebP picture: send one of these")
	ErrDamaged    = errors.New("the picture is damaged or cut off: send it again")
	ErrKeepsPlace = errors.New("the place it was taken can't be removed from this kind of picture: set the camera to JPEG, or send a screenshot of it")
)

// pictureType tells a picture by its content; empty: none that we know.
func pictureType(raw []byte) string {
	switch {
	case bytes.HasPrefix(raw, []byte("\xff\xd8\xff")):
		return "image/jpeg"
	case bytes.HasPrefix(raw, []byte(pngStart)):
		return "image/png"
	case len(raw) >= 12 && string(raw[:4]) == "RIFF" && string(raw[8:12]) == "WEBP":
		return "image/webp"
	case len(raw) >= 12 && string(raw[4:8]) == "ftyp":
		switch string(raw[8:12]) {
		case "heic", "heix", "heim", "heis", "hevc", "hevx", "mif1", "msf1", "avif", "avis":
			return "image/heic"
		}
	}
	return ""
}

// StripPhoto gives a picture without anything but the picture: no position,
// time, camera, comments, thumbnails or colour profile, and nothing behind its
// end. Only the turn that it is to be shown with stays. The picture itself is
// copied, not encoded again.
func StripPhoto(raw []byte) (Photo, error) {
	kind := pictureType(raw)
	strip := map[string]func([]byte) ([]byte, error){"image/jpeg": stripJPEG, "image/png": stripPNG, "image/webp": stripWebP}[kind]
	switch {
	case kind == "image/heic":
		return Photo{}, fmt.Errorf("reading a HEIC picture: %w", ErrKeepsPlace)
	case strip == nil:
		return Photo{}, fmt.Errorf("reading a picture: %w", ErrNotPicture)
	}
	out, err := strip(raw)
	if err != nil {
		return Photo{}, fmt.Errorf("reading a picture (%s): %w", kind, err)
	}
	if cap(out) > 2*len(out) { // little was left: don't hold the rest
		out = bytes.Clone(out)
	}
	return Photo{Type: kind, Bytes: out}, nil
}

func dropWhy(raw []byte, err error) DropWhy {
	switch {
	case errors.Is(err, ErrKeepsPlace):
		return KeepsPlace
	case errors.Is(err, ErrDamaged):
		return Damaged
	case bytes.HasPrefix(raw, []byte("MZ")) || bytes.HasPrefix(raw, []byte("PK\x03\x04")) || bytes.HasPrefix(raw, []byte("\x7fELF")):
		return Program
	}
	return NotPicture
}

// orientation reads how a picture is to be turned (1 to 8, TIFF tag 0x0112)
// out of an EXIF block; 1, upright, where it doesn't say.
func orientation(exif []byte) byte {
	exif = bytes.TrimPrefix(exif, []byte("Exif\x00\x00"))
	if len(exif) < 8 {
		return 1
	}
	var order binary.ByteOrder = binary.BigEndian
	if exif[0] == 'I' {
		order = binary.LittleEndian
	}
	at := int64(order.Uint32(exif[4:]))
	if at+2 > int64(len(exif)) {
		return 1
	}
	count := int64(order.Uint16(exif[at:]))
	for n := range count {
		entry := at + 2 + n*12
		if entry+12 > int64(len(exif)) {
			return 1
		}
		if order.Uint16(exif[entry:]) == 0x0112 {
			if turn := order.Uint16(exif[entry+8:]); turn >= 1 && turn <= 8 {
				return byte(turn)
			}
			return 1
		}
	}
	return 1
}

// turned is an EXIF block that holds an orientation and nothing else.
func turned(turn byte) []byte {
	return append([]byte("MM\x00\x2a\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00"), turn, 0, 0, 0, 0, 0, 0)
}
