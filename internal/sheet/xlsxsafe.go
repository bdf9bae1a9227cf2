package sheet

import (
	"archive/zip"
	"bufio"
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strconv"
	"strings"
)

// Limits of a workbook. What it unpacks to takes several times that in memory.
const (
	maxUnpacked = 24 << 20 // bytes
	maxParts    = 500
	maxCells    = 400000
	maxMerged   = 200
)

// safe refuses workbooks that would take too much memory, and other zips.
func safe(body []byte, o Options) *Reject {
	z, err := zip.NewReader(bytes.NewReader(body), int64(len(body)))
	if err != nil && !errors.Is(err, zip.ErrInsecurePath) { // paths don't matter: nothing is written
		return o.damaged(err)
	}
	total, book, ods := uint64(0), false, false
	for _, f := range z.File {
		total += f.UncompressedSize64
		if total > maxUnpacked || len(z.File) > maxParts {
			return o.refuse(0, TooLarge, "save the one worksheet as CSV", "the workbook unpacks to more than %d MiB or %d parts", maxUnpacked>>20, maxParts)
		}
		name := strings.ToLower(strings.ReplaceAll(f.Name, `\`, "/"))
		book = book || strings.HasSuffix(name, "workbook.xml")
		ods = ods || name == "mimetype"
	}
	switch {
	case ods:
		return o.refuse(0, NotATable, "save it as .xlsx or CSV", "this is an OpenDocument file, whatever its name")
	case !book:
		return o.refuse(0, NotATable, "unpack it, or save the table as .xlsx or CSV", "this is a zip file, but no workbook")
	}
	s := scan{options: o}
	for _, f := range z.File {
		if rejected := s.part(f); rejected != nil {
			return rejected
		}
	}
	return nil
}

// scan looks through the parts of a workbook for what would make it large.
type scan struct {
	options       Options
	cells, merged int
}

// part looks through one part, whatever it claims to be, as a stream.
func (s *scan) part(f *zip.File) *Reject {
	r, err := f.Open()
	if err != nil {
		return s.options.damaged(err)
	}
	defer r.Close()
	start := bufio.NewReader(io.LimitReader(r, maxUnpacked))
	if b, err := start.Peek(4); err == nil && !strings.Contains(string(b), "<") { // a picture, or the like
		return nil
	}
	d := xml.NewDecoder(start)
	for {
		t, err := d.RawToken()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return s.options.damaged(err)
		}
		if e, ok := t.(xml.StartElement); ok && !s.bearable(e) {
			return s.options.refuse(0, TooLarge, "delete the rows and columns beyond the table, or save it as CSV", "the workbook uses cells beyond row %d or column %d, or has more than %d cells", maxRows, maxColumns, maxCells)
		}
	}
}

// bearable reports whether an element is within the limits.
func (s *scan) bearable(e xml.StartElement) bool {
	switch e.Name.Local {
	case "row":
		n, err := strconv.Atoi(attribute(e, "r"))
		return attribute(e, "r") == "" || err == nil && n >= 0 && n <= maxRows
	case "c":
		s.cells++
		return s.cells <= maxCells && within(attribute(e, "r"))
	case "mergeCell":
		s.merged++
		first, last, _ := strings.Cut(attribute(e, "ref"), ":")
		return s.merged <= maxMerged && within(first) && within(last)
	}
	return true
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

var cellName = regexp.MustCompile(`^\$?([A-Za-z]{1,3})\$?([0-9]{1,7})$`)

// within reports whether a cell, by its name, is within the limits.
func within(name string) bool {
	if name == "" {
		return true
	}
	m := cellName.FindStringSubmatch(name)
	if m == nil {
		return false
	}
	column := 0
	for _, c := range strings.ToUpper(m[1]) {
		column = 26*column + int(c-'A') + 1
	}
	row, _ := strconv.Atoi(m[2])
	return column <= maxColumns && row <= maxRows
}
