package sheet_test

import (
	"strings"
	"testing"
	"time"

	"budcall/internal/config"
	"budcall/internal/sheet"
)

// applied reads a table, compares and applies it, and gives the files changed.
func applied(t *testing.T, k sheet.Kind, body string) (config.Files, []config.Problem, error) {
	t.Helper()
	table, err := sheet.Read([]byte(body), sheet.Options{Kind: k, File: "in.csv"})
	if err != nil {
		t.Fatal(err)
	}
	return sheet.Compare(now(t, k), table).Apply(nowFiles(t), time.LoadLocation)
}

// Each row is a table and what becomes of the lines of one file: - is a line
// that goes, + one that comes, and no other line changes.
func TestOnlyTheSettingsThatChangeAreWritten(t *testing.T) {
	for _, c := range []struct {
		says string
		kind sheet.Kind
		body string
		file string
		diff string
	}{
		{"a value in quotes is replaced in quotes", sheet.People, "code,phone\nmaia,+44 1632 960009\n", "people.yml",
			`-    phone: "+44 1632 960001"
+    phone: "+44 1632 960009"`},
		{"a comment behind a value stays", sheet.People, "code,email\nlab,lab@laboratory.example\n", "people.yml",
			`-    email: seed@laboratory.example     # read by two people
+    email: lab@laboratory.example     # read by two people`},
		{"an empty cell takes the line away", sheet.People, "code,role\nmaia,\n", "people.yml", "-    role: coordinator"},
		{"a setting that isn't there comes at the end of its group", sheet.People, "code,phone\nlab,+44 1632 960003\n", "people.yml", `+    phone: "+44 1632 960003"`},
		{"a list in brackets stays one, and a word becomes one", sheet.People, "code,can_go\ntuuli,sat sun\neero,fri\n", "people.yml",
			`-    can_go: [fri, sat, sun]
+    can_go: [sat, sun]
-    can_go: weekends
+    can_go: [fri]`},
		{"a new person comes last, laid out as the others", sheet.People, "code,name,email,role\nilta,Ilta: Satu,ilta@kolmi.example,no\n", "people.yml",
			`+
+  - code: ilta
+    name: "Ilta: Satu"
+    email: ilta@kolmi.example
+    role: "no"`},
		{"a number keeps its comment", sheet.Sites, "code,lat_deg\nKOLMI,60.7812\n", "sites/kolmi.yml",
			`-lat_deg: 60.7810                  # of the gate
+lat_deg: 60.7812                  # of the gate`},
		{"a deputy where there is none", sheet.Sites, "code,deputy\nMAR,tuuli\n", "sites/mar.yml", "+deputy: tuuli"},
		{"no deputy where there is one", sheet.Sites, "code,deputy\nKOLMI,\n", "sites/kolmi.yml", "-deputy: eero"},
		{"a tree in braces is changed and marked", sheet.Trees, "code,site,short,gone\nK-002,KOLMI,T9,yes\n", "sites/kolmi.yml",
			`-  - {code: K-002, short: T2}
+  - {code: K-002, short: T9, gone: true}`},
		{"a tree in lines is no longer gone, another is", sheet.Trees, "code,site,short,gone\nMAR-12,MAR,T1,x\nMAR-13,MAR,T2,\n", "sites/mar.yml",
			`+    gone: true
-    gone: true`},
		{"new trees come in braces where the last one is", sheet.Trees, "code,site,short\nK-007,KOLMI,T7\nK-008,KOLMI,T8\n", "sites/kolmi.yml",
			`+  - {code: K-007, short: T7}
+  - {code: K-008, short: T8}`},
		{"new trees come in lines where the last one does", sheet.Trees, "code,site,short\nMAR-14,MAR,T3\n", "sites/mar.yml",
			`+  - code: MAR-14
+    short: T3`},
		{"a new site is a new file", sheet.Sites, "code;name;lat_deg;lon_deg;altitude_m;profile;stations;lead\nUUSI;Uusi metsä;60,8012;24,05;115;silver-birch;KOL-MET;tuuli\n", "sites/uusi.yml",
			`+code: UUSI
+name: Uusi metsä
+lat_deg: 60.8012
+lon_deg: 24.05
+altitude_m: 115
+profile: silver-birch
+stations: [KOL-MET]
+lead: tuuli
+
+trees: []`},
	} {
		t.Run(c.says, func(t *testing.T) {
			files, problems, err := applied(t, c.kind, c.body)
			if err != nil || len(problems) > 0 {
				t.Fatal(err, problems)
			}
			if len(files) != 1 {
				t.Errorf("%d files change, not 1", len(files))
			}
			if got := diff(string(nowFiles(t)[c.file]), string(files[c.file])); got != c.diff {
				t.Errorf("the lines that change are\n%s\nnot\n%s", got, c.diff)
			}
		})
	}
}

// diff gives the lines by which two texts differ (longest common subsequence).
func diff(a, b string) string {
	x, y := lines(a), lines(b)
	length := make([][]int, len(x)+1)
	for i := range length {
		length[i] = make([]int, len(y)+1)
	}
	for i := len(x) - 1; i >= 0; i-- {
		for j := len(y) - 1; j >= 0; j-- {
			if length[i][j] = max(length[i+1][j], length[i][j+1]); x[i] == y[j] {
				length[i][j] = length[i+1][j+1] + 1
			}
		}
	}
	var out []string
	i, j := 0, 0
	for i < len(x) || j < len(y) {
		switch {
		case i < len(x) && j < len(y) && x[i] == y[j]:
			i, j = i+1, j+1
		case i < len(x) && (j == len(y) || length[i+1][j] >= length[i][j+1]):
			out, i = append(out, "-"+x[i]), i+1
		default:
			out, j = append(out, "+"+y[j]), j+1
		}
	}
	return strings.Join(out, "\n")
}

func lines(s string) []string {
	if s == "" {
		return nil
	}
	return strings.Split(strings.TrimSuffix(s, "\n"), "\n")
}

// A tree can be added to a site that has none yet.
func TestTreesFillAnEmptyList(t *testing.T) {
	files := nowFiles(t)
	files["sites/uusi.yml"] = []byte("code: UUSI\nname: Uusi\nlat_deg: 60.8\nlon_deg: 24.05\naltitude_m: 115\nprofile: silver-birch\nstations: [KOL-MET]\nlead: tuuli\ntrees: []   # none yet\n")
	known, err := sheet.FromConfig(sheet.Trees, files)
	if err != nil {
		t.Fatal(err)
	}
	table, err := sheet.Read([]byte("code,site,short\nU-001,UUSI,T1\nU-002,UUSI,T2\n"), sheet.Options{Kind: sheet.Trees})
	if err != nil {
		t.Fatal(err)
	}
	changed, problems, err := sheet.Compare(known, table).Apply(files, time.LoadLocation)
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	want := "trees:\n  - {code: U-001, short: T1}\n  - {code: U-002, short: T2}   # none yet\n"
	if got := string(changed["sites/uusi.yml"]); !strings.HasSuffix(got, want) {
		t.Errorf("the file ends\n%s", got)
	}
}

func TestWhatTheConfigForbidsIsNotApplied(t *testing.T) {
	for _, c := range []struct {
		says string
		kind sheet.Kind
		body string
		want string
	}{
		{"a lead whom nobody knows", sheet.Sites, "code,lead\nKOLMI,nobody\n", `no person has the code "nobody"`},
		{"a zone that isn't one", sheet.People, "code,zone\nmaia,Mars/Olympus\n", "is no time zone"},
		{"a code that config doesn't take", sheet.Trees, "code,site,short\nKX1,KOLMI,T5\n", "can't be a code here"},
		{"a tree at a site that isn't there", sheet.Trees, "code,site,short\nZ-001,ZETA,T5\n", "no site has the code ZETA"},
		{"a tree that is in conflict", sheet.Trees, "code,site,short\nK-001,MAR,T5\n", "nothing is applied"},
	} {
		t.Run(c.says, func(t *testing.T) {
			files, problems, err := applied(t, c.kind, c.body)
			if len(files) > 0 {
				t.Errorf("%d files are given", len(files))
			}
			said := ""
			if err != nil {
				said = err.Error()
			}
			for _, p := range problems {
				said += p.String()
			}
			if !strings.Contains(said, c.want) {
				t.Errorf("it says %q, not %q", said, c.want)
			}
		})
	}
}

// What can't be changed in place is refused with its line, not rewritten.
func TestUnusualYAMLIsLeftAlone(t *testing.T) {
	for _, c := range []struct{ says, old, new string }{
		{"a text over several lines", "    name: Tuuli Keksi\n", "    name: >-\n      Tuuli\n      Keksi\n"},
		{"a text by reference", "    name: Maia Examplar\n", "    name: &n Tuuli Keksi\n"},
	} {
		t.Run(c.says, func(t *testing.T) {
			files := nowFiles(t)
			files["people.yml"] = []byte(strings.Replace(string(files["people.yml"]), c.old, c.new, 1))
			known, err := sheet.FromConfig(sheet.People, files)
			if err != nil {
				t.Fatal(err)
			}
			table, err := sheet.Read([]byte("code,name\ntuuli,Tuuli Uusi\nmaia,Maia Uusi\n"), sheet.Options{Kind: sheet.People})
			if err != nil {
				t.Fatal(err)
			}
			_, _, err = sheet.Compare(known, table).Apply(files, time.LoadLocation)
			if err == nil || !strings.Contains(err.Error(), "people.yml:") || !strings.Contains(err.Error(), "by hand") {
				t.Errorf("the error is %v", err)
			}
		})
	}
}

// A tree that is known by a code with its check character isn't a new one
// where the table leaves that out, and the other way round.
func TestACodeWithoutItsCheckCharacterIsNoNewTree(t *testing.T) {
	known := sheet.Table{Kind: sheet.Trees, Columns: sheet.Columns(sheet.Trees), Rows: []sheet.Row{{Values: map[string]string{"code": "K-001-C", "site": "KOLMI", "short": "T1"}}}}
	table, err := sheet.Read([]byte("code,site,short\nK-001,KOLMI,T7\nK-002,KOLMI,T2\n"), sheet.Options{Kind: sheet.Trees})
	if err != nil {
		t.Fatal(err)
	}
	p := sheet.Compare(known, table)
	if places(p.Conflicts) != "2:near" || len(p.Adds) != 1 {
		t.Errorf("the conflicts are %q, %d are added", places(p.Conflicts), len(p.Adds))
	}
}
