package config_test

import (
	"fmt"
	"maps"
	"strings"
	"testing"
	"time"

	"budcall/internal/config"
)

// folderOfSites gives a folder with n sites, S01 and so on, of one tree each.
func folderOfSites(t *testing.T, n int) config.Files {
	t.Helper()
	files := maps.Clone(folder(t, example, false))
	for name := range files {
		if strings.HasPrefix(name, "sites/") {
			delete(files, name)
		}
	}
	for i := range n {
		code := fmt.Sprintf("S%02d", i+1)
		files["sites/"+strings.ToLower(code)+".yml"] = []byte("code: " + code + "\nname: " + code + " (invented)\nlat_deg: 60.8\nlon_deg: 24.1\naltitude_m: 126\n" +
			"profile: silver-birch\nstations: [KOL-MET]\nlead: tuuli\ntrees:\n  - {code: " + code + "-1, short: T1}\n")
	}
	return files
}

func changedTo(files config.Files, name, content string) config.Files {
	out := maps.Clone(files)
	if content == "" {
		delete(out, name)
	} else {
		out[name] = []byte(content)
	}
	return out
}

// What becomes of a folder in which a site's file is bad: which files count as
// they stand, which as they were, and which not at all.
func TestABadFileOfASiteHoldsBackNoOther(t *testing.T) {
	before := folderOfSites(t, 60)
	text := func(n int) string { return string(before[fmt.Sprintf("sites/s%02d.yml", n)]) }
	for _, row := range []struct {
		sentence string
		change   map[string]string // file to content; empty: deleted
		out      string            // files that don't count as they stand: "-" left out, "<" as before
		sites    int
		refused  string // in the problems, where nothing is accepted
	}{
		{"nothing is wrong", map[string]string{"sites/s02.yml": text(2) + "calls:\n  max_lead_days: 21\n"}, "", 60, ""},
		{"one is broken, another is changed", map[string]string{"sites/s01.yml": "code: [", "sites/s02.yml": text(2) + "calls:\n  max_lead_days: 21\n"}, "<sites/s01.yml", 60, ""},
		{"two are broken", map[string]string{"sites/s01.yml": "", "sites/s09.yml": "nonsense", "sites/s30.yml": text(30) + "lead: eero\n"}, "<sites/s09.yml <sites/s30.yml", 59, ""},
		{"a new one is broken", map[string]string{"sites/new.yml": "code: NEW\n"}, "-sites/new.yml", 60, ""},
		{"a new one has a name that isn't read", map[string]string{"sites/new.yaml": text(1)}, "-sites/new.yaml", 60, ""},
		{"a new one takes an old one's code, and is read before it", map[string]string{"sites/a.yml": strings.ReplaceAll(text(1), "S01-1", "S01-9")}, "-sites/a.yml", 60, ""},
		{"one takes a tree of one that is read later", map[string]string{"sites/s01.yml": strings.ReplaceAll(text(1), "S01-1", "S60-1")}, "<sites/s01.yml", 60, ""},
		{"both that have one tree are new", map[string]string{"sites/x.yml": strings.ReplaceAll(text(1), "S01", "XX"), "sites/y.yml": strings.ReplaceAll(strings.ReplaceAll(text(1), "S01-1", "XX-1"), "S01", "YY")}, "-sites/y.yml", 61, ""},
		{"the programme's file is bad too", map[string]string{"sites/s01.yml": "code: [", "programme.yml": "nonsense: true"}, "", 0, "programme.yml"},
		{"a person of unchanged sites is gone", map[string]string{"people.yml": strings.ReplaceAll(string(before["people.yml"]), "code: tuuli", "code: tuulia")}, "", 0, "sites/s01.yml"},
		{"a person of unchanged sites is gone, and a site is bad", map[string]string{"sites/s05.yml": "code: [", "people.yml": strings.ReplaceAll(string(before["people.yml"]), "code: tuuli", "code: tuulia")}, "", 0, "sites/s01.yml"},
	} {
		t.Run(row.sentence, func(t *testing.T) {
			files := before
			for name, content := range row.change {
				files = changedTo(files, name, content)
			}
			kept, problems := config.ParseKeeping(files, before, time.LoadLocation)
			if row.refused != "" {
				if kept.Programme != nil || len(problems) == 0 || !strings.Contains(fmt.Sprint(problems), row.refused) {
					t.Errorf("accepted, or without word of %s: %v", row.refused, problems)
				}
				return
			}
			if len(problems) > 0 || kept.Programme == nil {
				t.Fatalf("not accepted: %v", problems)
			}
			var out []string
			for _, o := range kept.Out {
				mark := "-"
				if o.Before {
					mark = "<"
				}
				out = append(out, mark+o.File)
				if len(o.Problems) == 0 {
					t.Errorf("%s is kept out without a reason", o.File)
				}
			}
			if got := strings.Join(out, " "); got != row.out || len(kept.Programme.Sites) != row.sites {
				t.Errorf("%d sites, kept out %q; want %d, %q", len(kept.Programme.Sites), got, row.sites, row.out)
			}
			if p, problems := config.Parse(kept.Files, time.LoadLocation); len(problems) > 0 || len(p.Sites) != row.sites {
				t.Errorf("the files that count aren't a whole: %v", problems)
			}
			if s, ok := kept.Programme.Site("S02"); row.change["sites/s02.yml"] != "" && (!ok || s.Settings.MaxLeadDays != 21) {
				t.Errorf("the change of another site isn't taken: %+v", s.Settings.MaxLeadDays)
			}
		})
	}
}
