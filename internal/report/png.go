package report

import (
	"encoding/binary"
	"hash/crc32"
)

const pngStart = "\x89PNG\r\n\x1a\n"

// pngKept are the chunks that a picture needs (PNG, third edition, 5.6).
var pngKept = words("IHDR PLTE IDAT IEND tRNS gAMA cHRM sRGB sBIT bKGD pHYs hIST")

// stripPNG keeps the chunks that the picture needs, whole, up to its end.
func stripPNG(raw []byte) ([]byte, error) {
	out := make([]byte, 0, len(raw)+40)
	out = append(out, pngStart...)
	turn, turnAt, data := byte(1), 0, false
	for at := len(pngStart); at+12 <= len(raw); {
		size := int64(binary.BigEndian.Uint32(raw[at:]))
		end := int64(at) + 12 + size
		if end > int64(len(raw)) {
			break
		}
		chunk := raw[at:end]
		kind := string(chunk[4:8])
		if crc32.ChecksumIEEE(chunk[4:8+size]) != binary.BigEndian.Uint32(chunk[8+size:]) || turnAt == 0 && kind != "IHDR" {
			return nil, ErrDamaged
		}
		switch {
		case kind == "eXIf":
			turn = orientation(chunk[8 : 8+size])
		case pngKept[kind]:
			out = append(out, chunk...)
		}
		data = data || kind == "IDAT"
		if kind == "IHDR" {
			turnAt = len(out)
		}
		if kind == "IEND" && data {
			if turn > 1 {
				return append(out[:turnAt:turnAt], append(pngChunk("eXIf", turned(turn)), out[turnAt:]...)...), nil
			}
			return out, nil
		}
		at = int(end)
	}
	return nil, ErrDamaged
}

// pngChunk makes a chunk: its length, kind, data and checksum.
func pngChunk(kind string, data []byte) []byte {
	chunk := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	chunk = append(append(chunk, kind...), data...)
	return binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
}
