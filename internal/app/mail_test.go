package app_test

import (
	"bytes"
	"io"
	"mime"
	"mime/quotedprintable"
)

func decodeHeader(s string) (string, error) { return new(mime.WordDecoder).DecodeHeader(s) }

// plain undoes quoted-printable over a whole body; enough to find a link in it.
func plain(body []byte) string {
	out, err := io.ReadAll(quotedprintable.NewReader(bytes.NewReader(body)))
	if err != nil {
		return string(body)
	}
	return string(out)
}
