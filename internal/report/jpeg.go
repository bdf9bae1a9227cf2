package report

import (
	"bytes"
	"encoding/binary"
)

// Markers of JPEG (ITU-T T.81, table B.1).
const (
	markStart  = 0xd8
	markEnd    = 0xd9
	markScan   = 0xda
	markApp0   = 0xe0
	markApp1   = 0xe1
	markAdobe  = 0xee // APP14: says how colours are stored
	markAppEnd = 0xef
	markText   = 0xfe
)

// stripJPEG keeps the segments that the picture needs and what is between a
// scan and the next marker; it ends at the end of the image.
func stripJPEG(raw []byte) ([]byte, error) {
	out := make([]byte, 0, len(raw)+40)
	out = append(out, 0xff, markStart)
	turn, scans, turnAt := byte(1), 0, 2
	for at := 2; ; {
		for at < len(raw) && raw[at] == 0xff && at+1 < len(raw) && raw[at+1] == 0xff {
			at++ // fill bytes
		}
		if at+1 >= len(raw) || raw[at] != 0xff {
			return nil, ErrDamaged
		}
		mark := raw[at+1]
		if mark == markEnd {
			if scans == 0 {
				return nil, ErrDamaged
			}
			out = append(out, 0xff, markEnd)
			return withTurn(out, turnAt, turn), nil
		}
		if mark == 0 || mark == markStart || mark >= 0xd0 && mark <= 0xd7 || at+4 > len(raw) {
			return nil, ErrDamaged
		}
		size := int(binary.BigEndian.Uint16(raw[at+2:]))
		end := at + 2 + size
		if size < 2 || end > len(raw) {
			return nil, ErrDamaged
		}
		segment := raw[at:end]
		switch {
		case mark == markApp1:
			if bytes.HasPrefix(segment[4:], []byte("Exif\x00\x00")) {
				turn = orientation(segment[4:])
			}
		case mark == markApp0 && len(segment) >= 18 && string(segment[4:9]) == "JFIF\x00":
			out = append(out, 0xff, markApp0, 0, 16)
			out = append(out, segment[4:16]...)
			out = append(out, 0, 0) // no thumbnail
			turnAt = len(out)
		case mark == markAdobe && len(segment) >= 16 && string(segment[4:9]) == "Adobe":
			out = append(out, 0xff, markAdobe, 0, 14)
			out = append(out, segment[4:16]...)
		case mark >= markApp0 && mark <= markAppEnd || mark == markText || mark >= 0xf0:
		default:
			out = append(out, segment...)
		}
		at = end
		if mark == markScan {
			scans++
			next := scanEnd(raw, at)
			out = append(out, raw[at:next]...)
			at = next
		}
	}
}

// scanEnd finds the marker behind the coded data of a scan: 0xff followed by
// neither a zero nor a restart marker.
func scanEnd(raw []byte, at int) int {
	for at < len(raw) {
		next := bytes.IndexByte(raw[at:], 0xff)
		if next < 0 || at+next+1 >= len(raw) {
			return len(raw)
		}
		at += next
		if b := raw[at+1]; b != 0 && b != 0xff && (b < 0xd0 || b > 0xd7) {
			return at
		}
		at++
	}
	return len(raw)
}

// withTurn puts an EXIF segment with the orientation in, behind the start.
func withTurn(picture []byte, at int, turn byte) []byte {
	if turn <= 1 {
		return picture
	}
	exif := turned(turn)
	segment := append([]byte{0xff, markApp1, 0, byte(2 + 6 + len(exif))}, "Exif\x00\x00"...)
	segment = append(segment, exif...)
	return append(picture[:at:at], append(segment, picture[at:]...)...)
}
