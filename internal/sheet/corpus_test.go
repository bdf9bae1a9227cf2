package sheet_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/sheet"
	"budcall/internal/trail"
)

const tables = "../../testdata/tables"

// nowFiles is the config that the tables of testdata are compared with.
func nowFiles(t testing.TB) config.Files {
	t.Helper()
	files := config.Files{}
	for name, at := range map[string]string{
		"programme.yml": "now/programme.yml", "people.yml": "now/people.yml", "stations.yml": "now/stations.yml",
		"sites/kolmi.yml": "now/sites/kolmi.yml", "sites/mar.yml": "now/sites/mar.yml",
		"profiles/silver-birch.yml": "../../config/profiles/silver-birch.yml",
	} {
		body, err := os.ReadFile(filepath.Join(tables, at))
		if err != nil {
			t.Fatal(err)
		}
		files[name] = body
	}
	return files
}

// now is what is known when a table of a kind comes.
func now(t testing.TB, k sheet.Kind) sheet.Table {
	t.Helper()
	if k == sheet.Reports {
		return sheet.FromReports([]trail.Report{{
			Person: "tuuli", Site: "KOLMI", Task: "bag-on", Kind: trail.BagsOn, Tree: "T1", Selfing: 2, Control: 1, Day: civil.MustParse("2031-05-03"), Way: "form",
		}})
	}
	known, err := sheet.FromConfig(k, nowFiles(t))
	if err != nil {
		t.Fatal(err)
	}
	return known
}

// optionsOf reads what expected.csv says was said of a file.
func optionsOf(t *testing.T, file, kind, said string) sheet.Options {
	t.Helper()
	o := sheet.Options{Kind: sheet.Kind(kind), File: file}
	for _, part := range strings.Fields(said) {
		name, value, _ := strings.Cut(part, "=")
		switch name {
		case "encoding":
			o.Encoding = value
		case "decimal":
			o.Decimal = value
		case "sheet":
			o.Sheet = value
		default:
			t.Fatalf("%s: unknown option %q", file, part)
		}
	}
	return o
}

// places writes rejects as expected.csv does.
func places(rejects []sheet.Reject) string {
	var out []string
	for _, r := range rejects {
		out = append(out, fmt.Sprintf("%d:%s", r.Line, r.Reason))
	}
	return strings.Join(out, " ")
}

// Every file of the corpus comes to what expected.csv, written before there
// was a reader, says of it.
func TestEveryTableComesToWhatIsExpectedOfIt(t *testing.T) {
	f, err := os.Open(filepath.Join(tables, "expected.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(lines) < 61 {
		t.Fatalf("only %d files are expected", len(lines)-1)
	}
	for _, e := range lines[1:] {
		t.Run(e[0], func(t *testing.T) {
			table, err := sheet.Read(bodyOf(t, e[0]), optionsOf(t, e[0], e[1], e[2]))
			if e[3] == "refused" {
				refused(t, err, e[9])
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			p := sheet.Compare(now(t, table.Kind), table)
			number := func(n int) string {
				return strconv.Itoa(n)
			}
			got := []string{number(table.Found), number(len(p.Adds)), number(len(p.Changes)), places(p.Conflicts), number(p.Unchanged), places(p.Rejects)}
			if strings.Join(got, "|") != strings.Join(e[4:10], "|") {
				t.Errorf("rows|adds|changes|conflicts|unchanged|rejects are\n%s, not\n%s", strings.Join(got, "|"), strings.Join(e[4:10], "|"))
			}
			for _, r := range append(p.Rejects, p.Conflicts...) {
				t.Log(r.Error())
				if r.What == "" || r.Cure == "" {
					t.Errorf("%v doesn't say what is wrong or what to do", r)
				}
			}
			for _, n := range p.Notes {
				t.Log("note:", n)
			}
		})
	}
}

func refused(t *testing.T, err error, want string) {
	t.Helper()
	r, ok := err.(*sheet.Reject)
	if !ok {
		t.Fatalf("the error is %v, not a refusal %s", err, want)
	}
	t.Log(r.Error())
	if got := places([]sheet.Reject{*r}); got != want {
		t.Errorf("refused for %s, not %s", got, want)
	}
	if r.What == "" || r.Cure == "" {
		t.Errorf("%v doesn't say what is wrong or what to do", r)
	}
}

func bodyOf(t testing.TB, name string) []byte {
	t.Helper()
	if make, ok := workbooks[name]; ok {
		return make(t)
	}
	body, err := os.ReadFile(filepath.Join(tables, name))
	if err != nil {
		t.Fatal(err)
	}
	return body
}
