// Package archive is the one file of a backup: tables and secrets in parts, each
// with its checksum, so that damage is found, and named, before anything is done
// with it.
//
// The file is an ordinary tar. It begins with head.json, what is needed to decide
// whether it can be read at all; each table follows as COPY text in gzipped parts
// (tables/report/000001.gz, …), then the secrets; manifest.json ends it, with the
// digest of every part, and its own after it. A file without them was cut off.
package archive

import (
	"fmt"
	"time"
)

// format is the version of the file's layout; a reader knows up to its own.
const format = 1

// The names of the first part and the last two.
const (
	headPart     = "head.json"
	manifestPart = "manifest.json"
	sumPart      = "manifest.sha256"
)

// partBytes is the size, before compression, at which a table's next part begins.
const partBytes = 1 << 20

// Head is what a backup says of itself before its content.
type Head struct {
	Format  int       `json:"format"`
	Program string    `json:"program"` // version that made it
	MadeAt  time.Time `json:"made_at"`
	Now     time.Time `json:"now"`    // the program's time: simulated, where time was
	Schema  []Step    `json:"schema"` // the migrations that its tables have seen, in order
}

// Step is one migration, and the digest of its text.
type Step struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"` // hex
}

// Table is what the manifest says of a table.
type Table struct {
	Name    string   `json:"name"`
	Columns []string `json:"columns"` // in the order of its text
	Rows    int64    `json:"rows"`
	Last    int64    `json:"last,omitempty"` // last number that the table gave to a row; 0: it gives none
}

// Part is one piece of the file.
type Part struct {
	Name   string `json:"name"`
	Bytes  int64  `json:"bytes"` // as they stand in the file
	SHA256 string `json:"sha256"`
}

// Manifest is what a backup holds.
type Manifest struct {
	Tables []Table `json:"tables"`
	Parts  []Part  `json:"parts"`
}

// Rows counts the rows of all tables.
func (m Manifest) Rows() (n int64) {
	for _, t := range m.Tables {
		n += t.Rows
	}
	return n
}

// Damaged is a file that isn't what was written.
type Damaged struct {
	Part string // where the damage is, or after which part
	What string
}

func (d *Damaged) Error() string {
	return fmt.Sprintf("the backup is damaged at its part %s: %s (nothing was taken from it; use another backup)", d.Part, d.What)
}
