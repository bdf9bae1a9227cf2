package app

import (
	"bytes"
	"compress/gzip"
	"time"

	"budcall/internal/postgres"
)

// piece is a piece of a pull.
func piece(key string, at time.Time) postgres.Piece {
	return postgres.Piece{ID: 1, Key: key, Phase: postgres.Pull, Run: postgres.Run{Name: runPull, At: at, Due: at}}
}

// bomb is 64 MiB of blanks, packed into some 64 KiB.
func bomb() []byte {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	blanks := bytes.Repeat([]byte(" "), 1<<20)
	for range 64 {
		z.Write(blanks)
	}
	z.Close()
	return b.Bytes()
}
