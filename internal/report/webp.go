package report

import "encoding/binary"

// Flags of the VP8X chunk (RFC 9649, section 2.7).
const (
	webpProfile = 0x20
	webpExif    = 0x08
	webpXMP     = 0x04
	webpMoving  = 0x02
)

// stripWebP keeps the picture and its transparency. A moving one isn't kept:
// its frames may hold chunks of their own.
func stripWebP(raw []byte) ([]byte, error) {
	size := int64(binary.LittleEndian.Uint32(raw[4:])) + 8
	if size > int64(len(raw)) {
		return nil, ErrDamaged
	}
	raw = raw[:size]
	out := append(make([]byte, 0, len(raw)+48), "RIFF\x00\x00\x00\x00WEBP"...)
	turn, extended, picture := byte(1), -1, false
	for at := int64(12); at+8 <= size; {
		length := int64(binary.LittleEndian.Uint32(raw[at+4:]))
		end := at + 8 + length + length%2
		if end > size {
			return nil, ErrDamaged
		}
		kind, data := string(raw[at:at+4]), raw[at+8:at+8+length]
		switch kind {
		case "VP8X":
			if length < 10 || data[0]&webpMoving != 0 || extended >= 0 {
				return nil, ErrNotPicture
			}
			extended = len(out) + 8
			out = append(out, "VP8X\x0a\x00\x00\x00"...)
			out = append(out, data[:10]...)
			out[extended] &^= webpProfile | webpExif | webpXMP
		case "VP8 ", "VP8L", "ALPH":
			picture = picture || kind != "ALPH"
			out = append(out, raw[at:end]...)
		case "EXIF":
			turn = orientation(data)
		}
		at = end
	}
	if !picture {
		return nil, ErrDamaged
	}
	if turn > 1 && extended >= 0 {
		exif := turned(turn)
		out[extended] |= webpExif
		out = append(out, "EXIF"...)
		out = binary.LittleEndian.AppendUint32(out, uint32(len(exif)))
		out = append(out, exif...)
		if len(exif)%2 == 1 {
			out = append(out, 0)
		}
	}
	binary.LittleEndian.PutUint32(out[4:], uint32(len(out)-8))
	return out, nil
}
