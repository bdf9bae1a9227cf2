package config_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"budcall/internal/config"
)

// Each testdata/NAME.bad.yml stands in for the file of the good folder that
// its first line names; NAME.want is every message that it must give.
func TestBadFilesGiveTheirMessages(t *testing.T) {
	bad, err := filepath.Glob("testdata/*.bad.yml")
	if err != nil || len(bad) < 15 {
		t.Fatalf("%d bad files, %v", len(bad), err)
	}
	for _, file := range bad {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".bad.yml"), func(t *testing.T) {
			content, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			first, _, _ := strings.Cut(string(content), "\n")
			name, ok := strings.CutPrefix(first, "# stands in for ")
			if !ok {
				t.Fatalf("the first line doesn't say what it stands in for: %q", first)
			}
			p, problems := config.Parse(with(folder(t, "testdata/good", false), name, string(content)), time.LoadLocation)
			if p != nil || len(problems) == 0 {
				t.Fatal("no problem was found")
			}
			inOrder(t, problems)
			golden(t, strings.TrimSuffix(file, ".bad.yml")+".want", lines(problems))
		})
	}
}

// inOrder holds what is true of all problems: they are sorted, say what to do,
// and never in the words of the YAML library.
func inOrder(t *testing.T, problems []config.Problem) {
	t.Helper()
	for i, p := range problems {
		if p.File == "" || p.What == "" || p.Cure == "" {
			t.Errorf("incomplete: %#v", p)
		}
		if strings.Contains(p.What+p.Cure, "yaml:") || strings.Contains(p.String(), "unmarshal") || strings.Contains(p.String(), "!!") {
			t.Errorf("not in our words: %s", p)
		}
		if i > 0 && (problems[i-1].File > p.File || problems[i-1].File == p.File && problems[i-1].Line > p.Line) {
			t.Errorf("out of order: %s after %s", p, problems[i-1])
		}
	}
}

func TestEverythingWrongIsSaidAtOnce(t *testing.T) {
	files := folder(t, "testdata/good", false)
	for name, change := range map[string][2]string{
		"programme.yml":      {"zone: Europe/Helsinki", "zone: Europe/Helsinky"},
		"people.yml":         {"dan@birches.example", "dan at birches"},
		"stations.yml":       {"lat_deg: 60.3", "lat_deg: 603"},
		"sites/kolmi.yml":    {"lead: ann", "lead: anna"},
		"profiles/birch.yml": {"base_c: 5", "base_c: 41"},
	} {
		files[name] = []byte(strings.Replace(string(files[name]), change[0], change[1], 1))
	}
	_, problems := config.Parse(files, time.LoadLocation)
	inOrder(t, problems)
	want := `people.yml:4: people[2].email: "dan at birches" is no mail address (write name@domain, such as maia@birches.example)
profiles/birch.yml:3: stages[0].base_c: 41 is outside -5 to 20 (degrees Celsius, not Fahrenheit)
programme.yml:3: zone: "Europe/Helsinky" is no time zone (an IANA zone, such as Europe/Helsinki)
sites/kolmi.yml:8: lead: no person has the code "anna" (did you mean ann?)
stations.yml:16: stations[1].lat_deg: 603 is outside -90 to 90 (degrees north, south is negative)
`
	if got := lines(problems); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}

// Beyond some hundred lines the parser's own line is given.
func TestWhereALongFileStopsBeingYAML(t *testing.T) {
	long := "code: KOLMI\ntrees:\n" + strings.Repeat("  - {code: K-001, short: T1}\n", 500)
	_, problems := config.Parse(with(folder(t, "testdata/good", false), "sites/kolmi.yml", long+"name: a: b\n"), time.LoadLocation)
	want := "sites/kolmi.yml:503: a colon too many"
	if len(problems) != 1 || !strings.HasPrefix(problems[0].String(), want) {
		t.Errorf("want %s, got %s", want, lines(problems))
	}
}

func TestAFileThatCantBeMeant(t *testing.T) {
	for text, want := range map[string]string{
		strings.Repeat("#\n", 1<<20):     "sites/kolmi.yml: is larger than 1 MiB",
		strings.Repeat("[", 20000):       "sites/kolmi.yml:1: can't be read from here on",
		"? [a]\n: b\n":                   "sites/kolmi.yml:1: a setting without a name",
		"a: &a {b: 1}\n<<: *a\n":         "sites/kolmi.yml:1: a: unknown setting",
		"trees: &a [*a]\n":               "sites/kolmi.yml:1: trees[0]: is a list, but settings belong here",
		"\xff\xfec\x00:\x00 \x00a\x00\n": "sites/kolmi.yml:1: a character that is no text",
	} {
		_, problems := config.Parse(with(folder(t, "testdata/good", false), "sites/kolmi.yml", text), time.LoadLocation)
		if !strings.Contains(lines(problems), want) {
			t.Errorf("want %s, got\n%s", want, lines(problems))
		}
	}
}

func TestAnEmptyFolder(t *testing.T) {
	_, problems := config.Parse(nil, time.LoadLocation)
	want := `people.yml: the file is missing (the example folder shows what belongs in it)
profiles/: there is no profile (copy profiles/silver-birch.yml from the example folder)
programme.yml: the file is missing (the example folder shows what belongs in it)
sites/: there is no site (write one file a site, such as sites/kolmi.yml)
stations.yml: the file is missing (the example folder shows what belongs in it)
`
	if got := lines(problems); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}

// What is wrong in one file is not held against those that refer to it.
func TestOneBrokenFileIsOneProblem(t *testing.T) {
	for _, name := range []string{"people.yml", "stations.yml", "programme.yml", "profiles/birch.yml"} {
		_, problems := config.Parse(with(folder(t, "testdata/good", false), name, "a: b: c"), time.LoadLocation)
		if len(problems) != 1 || problems[0].File != name || problems[0].Line != 1 {
			t.Errorf("%s:\n%s", name, lines(problems))
		}
	}
}

func TestWhatIsOnlyUnusualIsAWarning(t *testing.T) {
	files := folder(t, "testdata/good", false)
	files["programme.yml"] = append(files["programme.yml"], "slots: {pull: [\"30 2 * * *\", \"0 3 * 5 *\", \"0 12 * * *\"]}\npublic_url: http://buds.birches.example/\n"...)
	files["sites/far.yml"] = []byte(`
code: FAR
name: Far and high
lat_deg: 62.9
lon_deg: 24.3
altitude_m: 500
profile: birch
stations: [ONE, TWO, THREE]
lead: dan
trees: []
`)
	files["person.yml"] = []byte("nobody reads this")
	files["sites/.kolmi.yml"] = []byte("an editor's own")
	p := parsed(t, files)
	want := `person.yml: is not read (files are programme.yml, people.yml, stations.yml, sites/*.yml and profiles/*.yml)
programme.yml:12: slots.pull[0]: "30 2 * * *" falls between 00:00 and 03:59 in Europe/Helsinki, where clock changes skip or repeat times (choose a later hour)
programme.yml:12: slots.pull[1]: "0 3 * 5 *" falls between 00:00 and 03:59 in Europe/Helsinki, where clock changes skip or repeat times (choose a later hour)
programme.yml:13: public_url: signed links travel in the open (use https)
sites/far.yml:8: stations[0]: station ONE is 234 km away (readings from so far away say little of this site: name a nearer one if there is one)
sites/far.yml:8: stations[0]: the site is 410 m higher than station ONE (temperatures are corrected by 6.5 K per km, which cold hollows don't keep to: name a station at its height if there is one)
sites/far.yml:8: stations[1]: station TWO is 291 km away (readings from so far away say little of this site: name a nearer one if there is one)
sites/far.yml:8: stations[1]: the site is 449 m higher than station TWO (temperatures are corrected by 6.5 K per km, which cold hollows don't keep to: name a station at its height if there is one)
sites/far.yml:8: stations[2]: station THREE is 245 km away (readings from so far away say little of this site: name a nearer one if there is one)
sites/far.yml:8: stations[2]: the site is 390 m higher than station THREE (temperatures are corrected by 6.5 K per km, which cold hollows don't keep to: name a station at its height if there is one)
sites/far.yml:8: stations[2]: a day at station THREE is 00-24 Europe/Helsinki start, at ONE 18-18 UTC end (prefer stations with the same day)
sites/far.yml:9: lead: no phone number is known of dan (add phone in people.yml: whoever a call is passed on to has nothing to ring)
sites/far.yml:10: trees: the site has no trees, so nobody is called to it (list its trees)
`
	if got := lines(p.Warnings); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	if p.PublicURL != "http://buds.birches.example" {
		t.Errorf("public_url %s", p.PublicURL)
	}
}
