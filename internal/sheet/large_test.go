package sheet_test

import (
	"fmt"
	"runtime"
	"testing"

	"budcall/internal/sheet"
)

// The largest table that is read passes through CSV and a workbook, and one
// row more is refused.
func TestTheLargestTableIsReadAndALargerOneRefused(t *testing.T) {
	most := sheet.Table{Kind: sheet.Trees, Columns: sheet.Columns(sheet.Trees)}
	for n := range sheet.MaxRows {
		most.Rows = append(most.Rows, sheet.Row{Values: map[string]string{
			"code": fmt.Sprintf("K-%05d", n+1), "site": fmt.Sprintf("SITE%04d", n/20), "short": fmt.Sprintf("T%d", n%20+1),
		}})
	}
	fits := most
	fits.Rows = most.Rows[:sheet.MaxRows-1] // the header is a row of the file, too
	book, err := fits.XLSX()
	if err != nil {
		t.Fatal(err)
	}
	over, err := most.XLSX()
	if err != nil {
		t.Fatal(err)
	}
	overCSV := most
	overCSV.Rows = append(overCSV.Rows, overCSV.Rows[0])
	for _, c := range []struct {
		says string
		body []byte
		rows int // 0: refused
	}{
		{"CSV", fits.CSV(sheet.CSVOptions{}), sheet.MaxRows - 1}, {"XLSX", book, sheet.MaxRows - 1},
		{"CSV, more", overCSV.CSV(sheet.CSVOptions{}), 0}, {"XLSX, more", over, 0},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		got, err := sheet.Read(c.body, sheet.Options{Kind: sheet.Trees, File: c.says})
		runtime.ReadMemStats(&after)
		t.Logf("%s: %d bytes, %d MiB allocated on the way", c.says, len(c.body), (after.TotalAlloc-before.TotalAlloc)>>20)
		reject, refused := err.(*sheet.Reject)
		switch {
		case c.rows > 0 && (err != nil || len(got.Rows) != c.rows):
			t.Errorf("%s: %d rows, %v", c.says, len(got.Rows), err)
		case c.rows == 0 && (!refused || reject.Reason != sheet.TooLarge):
			t.Errorf("%s: it isn't refused as too large but %v", c.says, err)
		}
	}
}
