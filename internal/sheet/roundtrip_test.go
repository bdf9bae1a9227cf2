package sheet_test

import (
	"bytes"
	"encoding/csv"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/sheet"
	"budcall/internal/trail"
)

// textOf draws texts that tempt: formulas, quotes, separators, numbers, days.
func textOf(lines bool) *rapid.Generator[string] {
	odd := rapid.SampledFrom([]string{
		"=1+1", "+44", "-5", "@SUM(A1)", "'", "''", "'=x", "\"", "a;=b", "x,y", "1E5", "12,0", "2031-05-03", "Äiti Ö", "＝1", "_x000D_", "_x005F_", "<b>&amp;", "true", "null", "~",
		"a\tb", "x # y", "k: v", "- d", "0123", "\u00a0nb", "😀",
	})
	letters := []*unicode.RangeTable{unicode.Letter, unicode.Digit, unicode.Punct, unicode.Symbol}
	return rapid.Custom(func(t *rapid.T) string {
		parts := rapid.SliceOfN(rapid.OneOf(odd, rapid.StringOfN(rapid.RuneFrom(nil, letters...), 0, 8, -1)), 1, 3).Draw(t, "parts")
		by := " "
		if lines {
			by = rapid.SampledFrom([]string{" ", "\n"}).Draw(t, "by")
		}
		text := strings.Join(parts, by)
		if !lines {
			text = strings.ReplaceAll(text, "\t", " ")
		}
		return strings.TrimSpace(text)
	})
}

// cellsOf draws the values of a column in the form that tables have.
func cellsOf(column string) *rapid.Generator[string] {
	draw := map[string]*rapid.Generator[string]{
		"code": rapid.StringMatching(`[A-Z][A-Z0-9]{1,4}-[0-9]{1,3}`), "tree": rapid.StringMatching(`[A-Z]-[0-9]{1,3}`), "site": rapid.StringMatching(`[A-Z][A-Z0-9-]{1,9}`),
		"short": rapid.StringMatching(`[TÕÄ][0-9]{1,3}`), "gone": rapid.SampledFrom([]string{"", "yes"}), "kind": rapid.SampledFrom([]string{"selfing", "control"}),
		"bags":  rapid.SampledFrom([]string{"", "A-1", "A-1 B-22"}),
		"phone": rapid.SampledFrom([]string{"", "+44 1632 960001", "0401 234", "1632960001", "-555"}), "email": rapid.StringMatching(`[a-z]{1,5}@[a-z]{1,5}\.example`),
		"can_go": rapid.SampledFrom([]string{"", "any", "weekends", "fri sat sun"}), "lead": rapid.StringMatching(`[a-z][a-z0-9-]{1,9}`), "deputy": rapid.StringMatching(`[a-z][a-z0-9-]{1,9}`),
		"person": rapid.StringMatching(`[a-z][a-z0-9-]{1,9}`), "stations": rapid.SampledFrom([]string{"KOL-MET", "KOL-MET TAM-MET"}),
		"note": textOf(true), "lat_deg": decimals(-90, 90), "lon_deg": decimals(-180, 180), "altitude_m": decimals(-430, 5000), "condition": textOf(true), "bbch": rapid.SampledFrom([]string{"", "7", "60"}), "count": rapid.SampledFrom([]string{"", "250"}), "selfing": rapid.SampledFrom([]string{"", "0", "2"}), "control": rapid.SampledFrom([]string{"", "0", "1"}),
		"packets": rapid.SampledFrom([]string{"", "0", "7", "99"}), "came": rapid.SampledFrom([]string{"", "0", "7"}),
	}
	for _, day := range []string{"day", "until", "on", "off", "doubtful_since", "picked", "expected", "received"} {
		draw[day] = dayTexts
	}
	if g, ok := draw[column]; ok {
		return g
	}
	return textOf(false)
}

var dayTexts = rapid.Custom(func(t *rapid.T) string {
	d := civil.Date(rapid.IntRange(0, 800000).Draw(t, "day"))
	if d == 0 {
		return ""
	}
	return d.String()
})

func decimals(low, high float64) *rapid.Generator[string] {
	return rapid.Custom(func(t *rapid.T) string {
		v := rapid.OneOf(rapid.Float64Range(low, high), rapid.Map(rapid.IntRange(int(low)*1000, int(high)*1000), func(n int) float64 { return float64(n) / 1000 })).Draw(t, "number")
		return sheet.Shortest(v)
	})
}

// tableOf draws a table of one kind, whose needed cells are filled.
func tableOf(t *rapid.T) sheet.Table {
	k := rapid.SampledFrom([]sheet.Kind{sheet.Sites, sheet.People, sheet.Trees, sheet.Bags, sheet.Lots, sheet.Reports}).Draw(t, "kind")
	table := sheet.Table{Kind: k, Columns: sheet.Columns(k)}
	needed := sheet.Needed(k)
	if k == sheet.Reports {
		needed = append(needed, "note") // a problem says which
	}
	for range rapid.IntRange(0, 6).Draw(t, "rows") {
		r := sheet.Row{Values: map[string]string{}}
		for _, c := range table.Columns {
			g := cellsOf(c)
			if k == sheet.People && c == "code" {
				g = cellsOf("person")
			}
			if k == sheet.Reports && c == "kind" {
				g = rapid.Just("problem")
			}
			if k == sheet.Reports && c == "tree" {
				g = cellsOf("short")
			}
			if slices.Contains(needed, c) {
				g = g.Filter(func(s string) bool { return s != "" })
			}
			r.Values[c] = g.Draw(t, c)
		}
		table.Rows = append(table.Rows, r)
	}
	return table
}

func same(t *rapid.T, what string, body []byte, table sheet.Table, o sheet.Options) {
	o.Kind = table.Kind
	got, err := sheet.Read(body, o)
	if err != nil {
		t.Fatalf("%s: %v\n%q", what, err, body)
	}
	for _, r := range got.Rejects {
		t.Fatalf("%s: %v\n%q", what, &r, body)
	}
	if len(got.Rows) != len(table.Rows) {
		t.Fatalf("%s: %d rows, not %d\n%q", what, len(got.Rows), len(table.Rows), body)
	}
	for i, r := range got.Rows {
		if !reflect.DeepEqual(r.Values, table.Rows[i].Values) {
			t.Fatalf("%s: row %d is\n%q\nnot\n%q", what, i, r.Values, table.Rows[i].Values)
		}
	}
}

func TestWhatIsWrittenIsReadTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := tableOf(t)
		o := sheet.CSVOptions{Separator: rapid.SampledFrom([]rune{0, ',', ';', '\t'}).Draw(t, "separator"), BOM: rapid.Bool().Draw(t, "bom")}
		body := table.CSV(o)
		same(t, "CSV", body, table, sheet.Options{})
		same(t, "CSV with CRLF", []byte(strings.ReplaceAll(string(body), "\n", "\r\n")), table, sheet.Options{})
	})
}

func TestWhatIsWrittenAsAWorkbookIsReadTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := tableOf(t)
		body, err := table.XLSX()
		if err != nil {
			t.Fatal(err)
		}
		same(t, "XLSX", body, table, sheet.Options{})
	})
}

// No cell of an export begins with what a spreadsheet runs, numbers excepted.
func TestNoCellOfAnExportRuns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := tableOf(t)
		rows, err := csv.NewReader(bytes.NewReader(table.CSV(sheet.CSVOptions{}))).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range rows {
			for _, cell := range row {
				if cell != "" && strings.ContainsRune("=+-@\t\r＝＋－＠", []rune(cell)[0]) && strings.Trim(cell, "-0123456789.") != "" {
					t.Fatalf("%q begins as a formula", cell)
				}
			}
		}
	})
}

// A report that was corrected is exported as it holds, once.
func TestACorrectedReportIsExportedAsItHolds(t *testing.T) {
	first := trail.Report{Person: "tuuli", Site: "KOLMI", Kind: trail.BagsOn, Tree: "T1", Selfing: 2, Control: 1, Day: civil.MustParse("2031-05-03")}
	other, corrected := first, first
	other.Tree, corrected.Selfing = "T2", 3
	known := sheet.FromReports([]trail.Report{first, other, corrected})
	table, err := sheet.Read(known.InForce().CSV(sheet.CSVOptions{}), sheet.Options{Kind: sheet.Reports})
	if err != nil {
		t.Fatal(err)
	}
	if len(table.Rows) != 2 || table.Rows[1].Text("selfing") != "3" {
		t.Errorf("the rows are %v", table.Rows)
	}
	if p := sheet.Compare(known, table); !p.Empty() || !p.Clear() || p.Unchanged != 2 {
		t.Errorf("imported again it would do %+v", p)
	}
}

// The config, exported and imported again, changes nothing; neither do reports.
func TestAnExportImportedAgainChangesNothing(t *testing.T) {
	for _, k := range []sheet.Kind{sheet.People, sheet.Sites, sheet.Trees, sheet.Reports} {
		known := now(t, k)
		book, err := known.XLSX()
		if err != nil {
			t.Fatal(err)
		}
		for name, body := range map[string][]byte{"csv": known.CSV(sheet.CSVOptions{Separator: ';', BOM: true}), "xlsx": book} {
			table, err := sheet.Read(body, sheet.Options{Kind: k, File: name})
			if err != nil {
				t.Fatal(err)
			}
			p := sheet.Compare(known, table)
			if !p.Empty() || !p.Clear() || p.Unchanged != len(known.Rows) || len(known.Rows) == 0 || p.Left != 0 {
				t.Errorf("%s as %s: %+v", k, name, p)
			}
		}
	}
}

// Whatever a table of people changes, the rest of the file stays: every
// comment is there, and the other files are not touched.
func TestApplyingKeepsCommentsAndPassesTheCheck(t *testing.T) {
	files := nowFiles(t)
	known := now(t, sheet.People)
	rapid.Check(t, func(t *rapid.T) {
		table := sheet.Table{Kind: sheet.People, Columns: []string{"code", "name", "phone", "can_go", "role"}, File: "drawn"}
		for _, r := range known.Rows {
			if !rapid.Bool().Draw(t, "touched") {
				continue
			}
			v := map[string]string{"code": r.Text("code"), "name": "N", "phone": cellsOf("phone").Draw(t, "phone"), "can_go": cellsOf("can_go").Draw(t, "can_go"), "role": textOf(false).Draw(t, "role")}
			if name := textOf(false).Draw(t, "name"); name != "" {
				v["name"] = name
			}
			table.Rows = append(table.Rows, sheet.Row{Line: len(table.Rows) + 2, Values: v})
		}
		changed, problems, err := sheet.Compare(known, table).Apply(files, time.LoadLocation)
		if err != nil || len(problems) > 0 {
			t.Fatal(err, problems)
		}
		if body, ok := changed["people.yml"]; ok {
			for _, comment := range []string{"# Everybody here is invented.\n", "  # the office\n", "     # read by two people\n", "  # Kolmi\n"} {
				if !strings.Contains(string(body), comment) {
					t.Fatalf("%q is lost in\n%s", comment, body)
				}
			}
			delete(changed, "people.yml")
		}
		if len(changed) > 0 {
			t.Fatalf("other files change: %v", config.Files(changed))
		}
	})
}
