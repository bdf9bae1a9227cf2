package config_test

import (
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/config"
)

// editingOf gives the example with what is said of sites_by_page.
func editingOf(t *testing.T, said string) config.Editing {
	t.Helper()
	files := folder(t, example, false)
	return parsed(t, with(files, "programme.yml", string(files["programme.yml"])+"\n"+said)).Editing
}

func TestWhatTheExampleShowsOfEditingHolds(t *testing.T) {
	usual := editingOf(t, "")
	if shown := parsed(t, folder(t, example, true)).Editing; !reflect.DeepEqual(shown, usual) {
		t.Errorf("shown is\n%+v\nwhat holds is\n%+v", shown, usual)
	}
	if len(usual.Allowed()) < 15 || !usual.Approval {
		t.Errorf("%+v", usual)
	}
}

func TestWhatIsWrongInTheBounds(t *testing.T) {
	files := folder(t, example, false)
	for _, row := range []struct{ sentence, said, want string }{
		{"an unknown setting", "  max_lead: [1, 2]", "sites_by_page.max_lead: unknown setting (did you mean max_lead_days?)"},
		{"one value", "  max_lead_days: 14", "max_lead_days: is one value, but a list belongs here"},
		{"three values", "  max_lead_days: [1, 2, 3]", "has 3 values (write the lowest and the highest"},
		{"the wrong way round", "  max_lead_days: [35, 14]", "ends before it begins"},
		{"beyond what the setting may be at all", "  max_lead_days: [14, 400]", "400 is outside 1 to 90"},
		{"days of the year the wrong way round", "  season_end: [31 October, 1 September]", "ends before it begins"},
		{"no day of the year", "  season_end: [1, 2]", "season_end[0]: "},
		{"a line that there isn't", "  lines: [code]", `"code" is not known here`},
		{"nobody to approve", "  approval: ops", `"ops" is not known here (one of coordinator, none)`},
	} {
		t.Run(row.sentence, func(t *testing.T) {
			_, problems := config.Parse(with(files, "programme.yml", string(files["programme.yml"])+"\nsites_by_page:\n"+row.said+"\n"), time.LoadLocation)
			if !strings.Contains(lines(problems), row.want) {
				t.Errorf("%q doesn't say %q", lines(problems), row.want)
			}
		})
	}
}

// What becomes of a changed site's file under bounds.
func TestWhatMayBeChangedInASitesFile(t *testing.T) {
	bounds := editingOf(t, "sites_by_page:\n  lines: [deputy, trees]\n  max_lead_days: [14, 35]\n  min_selfing: [1, 3]\n  lot_days: never\n")
	file := string(folder(t, example, false)["sites/silvane.yml"])
	for _, row := range []struct {
		sentence, old, new string
		changed, refused   string
	}{
		{"only a remark", "# the kit comes by van", "# by train", "", ""},
		{"written otherwise", "deputy: valts", "deputy: \"valts\"", "", ""},
		{"within the bounds", "  transit_days: 4 ", "  transit_days: 4\n  max_lead_days: 14 ", "calls.max_lead_days:  → 14", ""},
		{"at the other end", "  transit_days: 4 ", "  transit_days: 4\n  max_lead_days: 35 ", "calls.max_lead_days:  → 35", ""},
		{"beyond the bounds", "  transit_days: 4 ", "  transit_days: 4\n  max_lead_days: 36 ", "calls.max_lead_days:  → 36", "calls.max_lead_days: 36 is outside 14 to 35, which the coordinator has set"},
		{"a day of the year beyond the bounds", "  transit_days: 4 ", "  transit_days: 4\n  season_end: 1 November ", "calls.season_end:  → 1 November", "1 November is outside 1 September to 31 October"},
		{"a setting that isn't listed", "  transit_days: 4 ", "  transit_days: 4\n  last_day_chance: 0.2 ", "calls.last_day_chance:  → 0.2", "calls.last_day_chance: can't be changed by a page or a mail"},
		{"a setting that was taken away", "  transit_days: 4 ", "  transit_days: 4\n  lot_days: 5 ", "calls.lot_days:  → 5", "calls.lot_days: can't be changed"},
		{"one that the programme gave free", "  transit_days: 4 ", "  transit_days: 4\n  min_selfing: 3 ", "calls.min_selfing:  → 3", ""},
		{"back to the programme's own", "  transit_days: 4 ", "  #transit_days: 4 ", "calls.transit_days: 4 → ", ""},
		{"another deputy", "deputy: valts", "deputy: eero", "deputy: valts → eero", ""},
		{"another lead", "lead: dace", "lead: eero", "lead: dace → eero", "lead: can't be changed by a page or a mail (leave it as it is, or ask the coordinator)"},
		{"a tree is gone", "{code: S-018, short: T4}", "{code: S-018, short: T4, gone: true}", "trees: [{code: S-011, short: T1}, {code: S-012, short: T2}, {code: S-015, short: T3}, {code: S-018, short: T4}] → [{code: S-011, short: T1}, {code: S-012, short: T2}, {code: S-015, short: T3}, {code: S-018, short: T4, gone: true}]", ""},
		{"the site's code", "code: SILVANE", "code: SILVA", "code: SILVANE → SILVA", "code: names the site for good"},
		{"the place", "altitude_m: 96", "altitude_m: 97", "altitude_m: 96 → 97", "altitude_m: can't be changed"},
		{"a setting that there isn't is another's to find", "  transit_days: 4 ", "  transit_days: 4\n  nonsense: 4 ", "calls.nonsense:  → 4", ""},
		{"a value that is none is another's to find", "  transit_days: 4 ", "  transit_days: four ", "calls.transit_days: 4 → four", ""},
		{"no YAML is another's to find", "lead: dace", "lead: [", "", ""},
	} {
		t.Run(row.sentence, func(t *testing.T) {
			after := strings.Replace(file, row.old, row.new, 1)
			if after == file {
				t.Fatalf("%q isn't in the file", row.old)
			}
			changed, problems := bounds.Check("sites/silvane.yml", []byte(file), []byte(after))
			var said []string
			for _, c := range changed {
				said = append(said, c.Path+": "+c.Before+" → "+c.After)
			}
			if got := strings.Join(said, "; "); got != row.changed {
				t.Errorf("changed %q, want %q", got, row.changed)
			}
			if got := lines(problems); (row.refused == "") != (got == "") || !strings.Contains(got, row.refused) {
				t.Errorf("refused %q, want %q", got, row.refused)
			}
		})
	}
}

func TestTheFileOfASite(t *testing.T) {
	files := with(folder(t, example, false), "sites/.kolmi.yml.new", "code: HIDDEN\n")
	files["sites/broken.yml"] = []byte("code: [")
	for code, want := range map[string]string{"KOLMI": "sites/kolmi.yml", "YLIKUU": "sites/ylikuu.yml", "HIDDEN": "", "NONE": "", "": ""} {
		if got, ok := config.SiteFile(files, code); got != want || ok != (want != "") {
			t.Errorf("%s is in %q, want %q", code, got, want)
		}
	}
}

// Taking a difference's lines out of the one version and putting its others in
// gives the other version.
func TestADifferenceLeadsFromOneVersionToTheOther(t *testing.T) {
	text := rapid.Custom(func(t *rapid.T) []byte {
		return []byte(strings.Join(rapid.SliceOfN(rapid.SampledFrom([]string{"a", "b", "c", "", "d"}), 0, 12).Draw(t, "lines"), "\n") + "x\n")
	})
	rapid.Check(t, func(t *rapid.T) {
		a, b := text.Draw(t, "a"), text.Draw(t, "b")
		out, in := map[int]string{}, map[int]string{}
		for _, l := range config.Difference(a, b) {
			if l.Out {
				out[l.Number] = l.Text
			} else {
				in[l.Number] = l.Text
			}
		}
		if fmt.Sprint(rest(a, out)) != fmt.Sprint(rest(b, in)) {
			t.Fatalf("%q and %q: out %v, in %v", a, b, out, in)
		}
	})
}

// rest gives the lines of a version that aren't among some.
func rest(text []byte, without map[int]string) (left []string) {
	for i, l := range strings.Split(strings.TrimSuffix(string(text), "\n"), "\n") {
		if was, there := without[i+1]; !there || was != l {
			left = append(left, l)
		}
	}
	return left
}

func TestADifferenceReads(t *testing.T) {
	said := func(a, b string) (out []string) {
		for _, l := range config.Difference([]byte(a), []byte(b)) {
			mark := "+"
			if l.Out {
				mark = "-"
			}
			out = append(out, fmt.Sprintf("%s%d %s", mark, l.Number, l.Text))
		}
		return out
	}
	for _, row := range []struct {
		sentence, a, b string
		want           []string
	}{
		{"the same", "a\nb\n", "a\nb\n", nil},
		{"the same but for line ends", "a\r\nb\r\n", "a\nb", nil},
		{"one line", "a\nb\nc\n", "a\nx\nc\n", []string{"-2 b", "+2 x"}},
		{"one more", "a\nc\n", "a\nb\nc\n", []string{"+2 b"}},
		{"everything gone", "a\nb\n", "", []string{"-1 a", "-2 b"}},
		{"far apart", "1\n2\n3\n4\n5\n", "1\ntwo\n3\n4\nfive\n", []string{"-2 2", "+2 two", "-5 5", "+5 five"}},
	} {
		if got := said(row.a, row.b); fmt.Sprint(got) != fmt.Sprint(row.want) {
			t.Errorf("%s: %v, want %v", row.sentence, got, row.want)
		}
	}
	long := strings.Repeat("x\n", 3000)
	if n := len(config.Difference([]byte(long), []byte(strings.Repeat("y\n", 3000)))); n != 6000 {
		t.Errorf("very long files differ in %d lines, want all", n)
	}
}

// Whatever comes by a page or a mail, the check of what may be changed ends, and
// its problems point into the file.
func FuzzCheck(f *testing.F) {
	files := folder(f, example, false)
	before := files["sites/kolmi.yml"]
	f.Add(before)
	f.Add([]byte("code: KOLMI\ncalls: {max_lead_days: 99}\n"))
	f.Add([]byte("a: &x [*x]\n"))
	f.Add([]byte("calls: [1]\ncode: {a: b}\n? [x]\n: y\n"))
	editing := parsed(f, files).Editing
	f.Fuzz(func(t *testing.T, after []byte) {
		_, problems := editing.Check("sites/kolmi.yml", before, after)
		for _, p := range problems {
			if p.File != "sites/kolmi.yml" || p.Line < 1 || p.Line > strings.Count(string(after), "\n")+1 || p.What == "" || p.Cure == "" {
				t.Errorf("%+v of\n%s", p, after)
			}
		}
		config.SiteFile(config.Files{"sites/x.yml": after}, "KOLMI")
	})
}
