package sheet_test

import (
	"archive/zip"
	"bytes"
	"io"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// workbooks makes the workbooks of the corpus.
var workbooks = map[string]func(testing.TB) []byte{
	"55-plain.xlsx": plainBook,
	"56-cut-off.xlsx": func(t testing.TB) []byte {
		b := plainBook(t)
		return b[:len(b)/2]
	},
	"57-zip-bomb.xlsx": func(t testing.TB) []byte {
		return withPart(t, plainBook(t), "xl/worksheets/sheet1.xml", func(old string) string {
			return strings.Replace(old, "<sheetData>", "<sheetData>"+strings.Repeat(" ", 40<<20), 1)
		})
	},
	"58-far-cell.xlsx": func(t testing.TB) []byte {
		return withPart(t, plainBook(t), "xl/worksheets/sheet1.xml", func(old string) string {
			return strings.Replace(old, "</sheetData>", `<row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData>`, 1)
		})
	},
	"59-formula-merged-error.xlsx": func(t testing.TB) []byte {
		return book(t, func(b *builder) {
			b.rows("Sheet1", [][]any{{"code", "site", "short"}, {"K-005", "KOLMI", "T5"}, {"K-006", "KOLMI", nil}, {"K-007", "KOLMI", "T7"}, {"K-008", nil, "T8"}, {"K-009", "KOLMI", 12345}})
			b.check(b.SetCellFormula("Sheet1", "C3", `"T"&6`))
			b.check(b.MergeCell("Sheet1", "B4", "B5"))
			b.error = "C6"
		})
	},
	"60-hidden-sheet.xlsx": func(t testing.TB) []byte {
		return book(t, func(b *builder) {
			b.rows("Sheet1", [][]any{{"code", "site", "short"}, {"K-005", "KOLMI", "T5"}})
			b.sheet("old", [][]any{{"code", "site", "short"}, {"K-005", "KOLMI", "T9"}})
			b.check(b.SetSheetVisible("old", false))
		})
	},
	"61-two-sheets.xlsx":      twoSheets,
	"62-two-sheets-said.xlsx": twoSheets,
	"63-dates-1904.xlsx": func(t testing.TB) []byte {
		return book(t, func(b *builder) {
			yes := true
			b.check(b.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &yes}))
			// 47963 - 1462 days between the two starts (4 years and a day): 46501.
			b.rows("Sheet1", [][]any{{"site", "day", "kind", "person"}, {"KOLMI", 46501, "bags fine", "tuuli"}})
			b.format("B2", 14, "")
		})
	},
	"64-dates.xlsx": func(t testing.TB) []byte {
		return book(t, func(b *builder) {
			b.rows("Sheet1", [][]any{{"site", "day", "kind", "person"},
				{"KOLMI", 47963, "bags fine", "tuuli"}, {"KOLMI", 47963, "bags fine", "eero"}, {"KOLMI", 47963.5, "bags fine", "eero"}, {"KOLMI", "03/04/2031", "bags fine", "eero"}})
			b.format("B2", 0, `[$-40B]d\. mmmm yyyy;@`)
			b.format("B4", 22, "")
		})
	},
	"65-numbers-as-text.xlsx": func(t testing.TB) []byte {
		return book(t, func(b *builder) {
			b.rows("Sheet1", [][]any{{"code", "lat_deg", "lon_deg", "altitude_m"}, {"KOLMI", "60,7810", "24.042", 112}, {"MAR", 60.9, " 24,5 ", "131"}})
		})
	},
	"66-mangled.xlsx": func(t testing.TB) []byte {
		return book(t, func(b *builder) {
			b.rows("Sheet1", [][]any{{"code", "site", "short"}, {100000, "KOLMI", "T5"}, {47919, "MAR", "T1"}, {5, "KOLMI", "T7"}, {"K-005", "KOLMI", 8}})
			b.format("A3", 16, "")
		})
	},
	"67-old-xls.xls": func(testing.TB) []byte {
		return []byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + strings.Repeat("\x00", 600))
	},
	"68-opendocument.ods": func(t testing.TB) []byte {
		return zipped(t, map[string]string{"mimetype": "application/vnd.oasis.opendocument.spreadsheet", "content.xml": "<x/>"})
	},
	"69-any-zip.xlsx": func(t testing.TB) []byte { return zipped(t, map[string]string{"trees.csv": "code,site,short\n"}) },
}

func plainBook(t testing.TB) []byte {
	return book(t, func(b *builder) {
		b.rows("Sheet1", [][]any{{"code", "site", "short", "gone"}, {"K-005", "KOLMI", "T5", nil}, {}, {"K-001", "KOLMI", "T1", false}})
	})
}

func twoSheets(t testing.TB) []byte {
	return book(t, func(b *builder) {
		b.rows("Sheet1", [][]any{{"code", "site", "short"}, {"K-006", "KOLMI", "T6"}})
		b.sheet("new", [][]any{{"code", "site", "short"}, {"K-005", "KOLMI", "T5"}})
	})
}

// builder builds one workbook.
type builder struct {
	*excelize.File
	t     testing.TB
	error string // the cell whose 12345 becomes #N/A
}

func (b *builder) check(err error) {
	b.t.Helper()
	if err != nil {
		b.t.Fatal(err)
	}
}

func (b *builder) rows(sheet string, rows [][]any) {
	for i, row := range rows {
		at, err := excelize.CoordinatesToCellName(1, i+1)
		b.check(err)
		b.check(b.SetSheetRow(sheet, at, &row))
	}
}

func (b *builder) sheet(name string, rows [][]any) {
	_, err := b.NewSheet(name)
	b.check(err)
	b.rows(name, rows)
}

func (b *builder) format(at string, builtIn int, custom string) {
	style := &excelize.Style{NumFmt: builtIn}
	if custom != "" {
		style.CustomNumFmt = &custom
	}
	id, err := b.NewStyle(style)
	b.check(err)
	b.check(b.SetCellStyle("Sheet1", at, at, id))
}

func book(t testing.TB, build func(*builder)) []byte {
	t.Helper()
	b := &builder{File: excelize.NewFile(), t: t}
	build(b)
	var out bytes.Buffer
	b.check(b.Write(&out))
	if b.error == "" {
		return out.Bytes()
	}
	return withPart(t, out.Bytes(), "xl/worksheets/sheet1.xml", func(old string) string {
		return strings.Replace(old, `<c r="`+b.error+`"><v>12345</v>`, `<c r="`+b.error+`" t="e"><v>#N/A</v>`, 1)
	})
}

// withPart gives a workbook with one of its parts changed.
func withPart(t testing.TB, body []byte, name string, change func(string) string) []byte {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(body), int64(len(body)))
	if err != nil {
		t.Fatal(err)
	}
	parts := map[string]string{}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		parts[f.Name] = string(b)
		if f.Name == name {
			if parts[f.Name] = change(string(b)); parts[f.Name] == string(b) {
				t.Fatalf("%s isn't changed: %.400s", name, b)
			}
		}
	}
	return zipped(t, parts)
}

func zipped(t testing.TB, parts map[string]string) []byte {
	t.Helper()
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for name, body := range parts {
		w, err := z.Create(name)
		if err == nil {
			_, err = io.WriteString(w, body)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// part gives one part of a workbook.
func part(t testing.TB, body []byte, name string) string {
	t.Helper()
	got := ""
	withPart(t, body, name, func(old string) string {
		got = old
		return old + " "
	})
	return got
}
