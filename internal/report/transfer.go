package report

import (
	"bytes"
	"encoding/base64"
	"strings"
)

// decodeTransfer undoes the transfer encoding of a part. It reports false
// where the end is missing: what is there may have lost its last figures.
func decodeTransfer(body []byte, encoding string) ([]byte, bool) {
	switch strings.ToLower(strings.TrimSpace(encoding)) {
	case "base64":
		return decodeBase64(body)
	case "quoted-printable":
		return decodeQuoted(body), true
	}
	return body, true
}

// decodeBase64 passes over what is no base64 (line ends, stray characters) and
// stops at the padding.
func decodeBase64(body []byte) ([]byte, bool) {
	clean := make([]byte, 0, len(body))
	for _, b := range body {
		if b == '=' {
			break
		}
		if b >= 'A' && b <= 'Z' || b >= 'a' && b <= 'z' || b >= '0' && b <= '9' || b == '+' || b == '/' {
			clean = append(clean, b)
		}
	}
	whole := len(clean)%4 == 0 || bytes.IndexByte(body, '=') >= 0
	if len(clean)%4 == 1 {
		clean, whole = clean[:len(clean)-1], false
	}
	n, err := base64.RawStdEncoding.Decode(clean, clean) // in place: it writes behind what it reads
	if err != nil {
		return clean[:n], false
	}
	return clean[:n], whole
}

// decodeQuoted undoes quoted-printable and leaves alone what is none.
func decodeQuoted(body []byte) []byte {
	out := make([]byte, 0, len(body))
	for len(body) > 0 {
		line, rest := cutLine(body)
		ended := len(rest) > 0 || bytes.HasSuffix(body, []byte("\n"))
		body = rest
		line = bytes.TrimRight(line, " \t")
		soft := bytes.HasSuffix(line, []byte("="))
		if soft {
			line = line[:len(line)-1]
		}
		for n := 0; n < len(line); n++ {
			if line[n] == '=' && n+2 < len(line) {
				hi, lo := nibble(line[n+1]), nibble(line[n+2])
				if hi >= 0 && lo >= 0 {
					out = append(out, byte(hi<<4|lo))
					n += 2
					continue
				}
			}
			out = append(out, line[n])
		}
		if !soft && ended {
			out = append(out, '\n')
		}
	}
	return out
}

func nibble(b byte) int {
	switch {
	case b >= '0' && b <= '9':
		return int(b - '0')
	case b >= 'A' && b <= 'F':
		return int(b-'A') + 10
	case b >= 'a' && b <= 'f':
		return int(b-'a') + 10
	}
	return -1
}
