package sheet_test

import (
	"os"
	"path/filepath"
	"testing"

	"budcall/internal/sheet"
)

// steady reads whatever it is given and holds what came of it to what is
// promised: each row is in the rows or among the rejects, and what is read can
// be written and read again the same.
func steady(t *testing.T, body []byte, o sheet.Options) {
	table, err := sheet.Read(body, o)
	if err != nil {
		if r, ok := err.(*sheet.Reject); !ok || r.What == "" || r.Cure == "" {
			t.Fatalf("%v doesn't say what is wrong and what to do", err)
		}
		return
	}
	if len(table.Rows)+len(table.Rejects) != table.Found {
		t.Fatalf("%d rows and %d rejects are not the %d found", len(table.Rows), len(table.Rejects), table.Found)
	}
	again, err := sheet.Read(table.CSV(sheet.CSVOptions{}), sheet.Options{Kind: o.Kind})
	if err != nil {
		t.Fatalf("what was written can't be read: %v", err)
	}
	again.File = table.File
	for _, r := range again.Rejects {
		t.Fatalf("what was written is rejected: %v\n%q", &r, table.CSV(sheet.CSVOptions{}))
	}
	if p := sheet.Compare(table, again); len(p.Adds)+len(p.Changes) > 0 && len(sheet.Compare(table, table).Changes)+len(sheet.Compare(table, table).Conflicts) == 0 {
		t.Fatalf("written and read again it differs: %+v", p)
	}
}

var kinds = sheet.Kinds()

func FuzzCSV(f *testing.F) {
	names, err := filepath.Glob(filepath.Join(tables, "[0-9]*.csv"))
	if err != nil || len(names) == 0 {
		f.Fatal(err, "no tables")
	}
	for _, name := range names {
		body, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		for i := range kinds {
			f.Add(body, byte(i))
		}
	}
	f.Fuzz(func(t *testing.T, body []byte, kind byte) {
		o := sheet.Options{Kind: kinds[int(kind)%len(kinds)]}
		if kind >= 128 {
			o.Encoding, o.Separator = sheet.Windows1252, ';'
		}
		steady(t, body, o)
	})
}

// The fuzzer changes a worksheet's XML, not the zip around it, which would
// mostly only be broken.
func FuzzXLSX(f *testing.F) {
	for _, name := range []string{"55-plain.xlsx", "59-formula-merged-error.xlsx", "64-dates.xlsx", "66-mangled.xlsx"} {
		f.Add(part(f, workbooks[name](f), "xl/worksheets/sheet1.xml"), byte(2))
		f.Add(part(f, workbooks[name](f), "xl/worksheets/sheet1.xml"), byte(5))
	}
	frame := workbooks["64-dates.xlsx"](f)
	f.Fuzz(func(t *testing.T, xml string, kind byte) {
		body := withPart(t, frame, "xl/worksheets/sheet1.xml", func(string) string { return xml + " " })
		steady(t, body, sheet.Options{Kind: kinds[int(kind)%len(kinds)]})
	})
}

// The zip itself, too.
func FuzzWorkbookBytes(f *testing.F) {
	f.Add(plainBook(f))
	f.Fuzz(func(t *testing.T, body []byte) { steady(t, body, sheet.Options{Kind: sheet.Trees}) })
}
