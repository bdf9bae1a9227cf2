package config_test

import (
	"flag"
	"io/fs"
	"maps"
	"os"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/season"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

var update = flag.Bool("update", false, "rewrite the expected messages and tables")

const example = "../../config"

// folder reads a config folder; with shown, the settings that the files show
// behind a # are set as well.
func folder(t testing.TB, dir string, shown bool) config.Files {
	t.Helper()
	files := config.Files{}
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(name) != ".yml" {
			return err
		}
		content, err := os.ReadFile(path.Join(dir, name))
		if shown {
			content = hidden.ReplaceAll(content, []byte("$1$2"))
		}
		files[name] = content
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// hidden finds a setting behind a #.
var hidden = regexp.MustCompile(`(?m)^( *)#((?:  )*(?:- )?[a-z_]+:(?: |$))`)

// with gives files with one of them changed or added.
func with(files config.Files, name, content string) config.Files {
	changed := config.Files{}
	for n, c := range files {
		changed[n] = c
	}
	changed[name] = []byte(content)
	return changed
}

func parsed(t testing.TB, files config.Files) *config.Programme {
	t.Helper()
	p, problems := config.Parse(files, time.LoadLocation)
	if len(problems) > 0 || p == nil {
		t.Fatalf("%d problems:\n%s", len(problems), lines(problems))
	}
	return p
}

func lines(problems []config.Problem) string {
	var b strings.Builder
	for _, p := range problems {
		b.WriteString(p.String() + "\n")
	}
	return b.String()
}

func TestTheExampleIsInOrder(t *testing.T) {
	p := parsed(t, folder(t, example, false))
	if len(p.Warnings) > 0 {
		t.Errorf("warnings:\n%s", lines(p.Warnings))
	}
	if len(p.Sites) != 4 || len(p.Stations) != 5 || len(p.People) != 12 {
		t.Errorf("%d sites, %d stations, %d people", len(p.Sites), len(p.Stations), len(p.People))
	}
	if p.Settings != season.Defaults() {
		t.Errorf("settings: %+v", p.Settings)
	}
	for _, s := range p.Sites {
		if s.LatDeg < 56 || s.LatDeg > 66.1 || len(s.Trees) < 3 || len(s.Trees) > 5 || s.Deputy == "" || s.Forecast != "" {
			t.Errorf("site %s: %+v", s.Code, s)
		}
	}
	if got := p.Pull[0].Spec + " " + p.Pull[1].Spec + " " + p.Evening.Spec; got != "10 6 * * * 10 15 * * * 0 17 * * *" {
		t.Errorf("slots %s", got)
	}
	if p.Listen != "127.0.0.1:8484" || p.Metrics != "127.0.0.1:8485" || p.PublicURL != "http://127.0.0.1:8484" {
		t.Errorf("addresses %s %s %s", p.Listen, p.Metrics, p.PublicURL)
	}
}

// The example is the manual: what it shows behind a # must be what it says.
func TestWhatTheExampleShowsIsRight(t *testing.T) {
	p := parsed(t, folder(t, example, true))
	if p.Settings != season.Defaults() {
		t.Errorf("the settings shown aren't the usual ones:\n%+v\n%+v", p.Settings, season.Defaults())
	}
	plain := parsed(t, folder(t, example, false))
	if p.Mail.Domain != plain.Mail.Domain || p.Mail.Hello != plain.Mail.Hello || p.Mail.FromName != plain.Mail.FromName ||
		p.Mail.EnvelopeFrom != plain.Mail.EnvelopeFrom || p.PublicURL != plain.PublicURL || p.Listen != plain.Listen || p.Metrics != plain.Metrics {
		t.Errorf("what is shown as usual isn't:\n%+v\n%+v", p, plain)
	}
	if len(p.Webhooks) != 1 || len(p.Webhooks[0].SecretFiles) != 1 || p.Webhooks[0].Allow[0].String() != "10.20.30.0/24" {
		t.Errorf("webhooks %+v", p.Webhooks)
	}
	if len(p.Forecasts) != 1 || p.Sites[1].Forecast != "" || p.Sites[0].Forecast != "metno" {
		t.Errorf("forecasts %+v; Hoymark uses %q, Kolmi %q", p.Forecasts, p.Sites[0].Forecast, p.Sites[1].Forecast)
	}
	if p.Database.DSNFile != "secrets/database" || p.Mail.PasswordFile != "secrets/mail-password" {
		t.Errorf("files %+v %+v", p.Database, p.Mail)
	}
}

func TestTheExampleShowsEverySettingOfTheCalls(t *testing.T) {
	files := folder(t, example, false)
	_, settings, found := strings.Cut(config.Understood(parsed(t, files)), "\nCALLS")
	if !found {
		t.Fatal("no table of settings")
	}
	rows := strings.Split(strings.TrimSpace(settings), "\n")[1:]
	if len(rows) != 35 { // the fields of season.Settings
		t.Errorf("%d settings", len(rows))
	}
	for _, r := range rows {
		key := strings.Fields(r)[0]
		if !strings.Contains(string(files["programme.yml"]), "\n#  "+key+": ") {
			t.Errorf("%s is not shown in programme.yml", key)
		}
	}
}

// The table of the requirement of silver birch: the programme's reference,
// section on heat; medians in °C·d, spread on the natural log scale.
func TestTheSilverBirchProfile(t *testing.T) {
	p := parsed(t, folder(t, example, false)).Profiles["silver-birch"]
	want := []struct {
		code         stage.BBCH
		start        string
		median, logS float64
	}{
		{1, "1 March", 25, 0.45}, {7, "1 March", 60, 0.30}, {11, "1 March", 100, 0.25}, {60, "1 March", 95, 0.22},
		{65, "1 March", 120, 0.18}, {69, "1 March", 210, 0.17}, {89, "1 January", 850, 0.08},
	}
	if len(p.Stages) != len(want) || p.Key != "silver-birch" || !strings.Contains(p.Species, "Betula pendula") {
		t.Fatalf("%+v", p)
	}
	for i, w := range want {
		s := p.Stages[i]
		start := s.Heat.Start.In(2031).Midnight().Format("2 January")
		if s.Code != w.code || start != w.start || s.MedianCd != w.median || s.LogSD != w.logS || s.Heat.Rule.BaseC != 5 || s.Source == "" {
			t.Errorf("stage %s: %+v, start %s", w.code, s, start)
		}
	}
}

func TestASiteMaySayOtherwise(t *testing.T) {
	files := with(folder(t, "testdata/good", false), "sites/aaland.yml", `
code: AALAND
name: Second site
lat_deg: 60.9
lon_deg: 24.3
altitude_m: 100
zone: Europe/Mariehamn
profile: birch
stations: [ONE]
lead: ann
trees: [{code: A-001, short: T1, gone: true}]
calls: {max_lead_days: 20, answer_hours: 1.5, season_end: 15 Sep}
`)
	p := parsed(t, files)
	want := p.Settings
	want.MaxLeadDays, want.AnswerTime, want.SeasonEnd.Month, want.SeasonEnd.Day = 20, 90*time.Minute, time.September, 15
	s := p.Sites[0]
	if s.Code != "AALAND" || s.Settings != want || s.Zone.String() != "Europe/Mariehamn" || s.Forecast != "met" {
		t.Errorf("%+v", s)
	}
	if s.Trees[0] != (trail.Tree{Code: "A-001", Short: "T1", Gone: true}) {
		t.Errorf("%+v", s.Trees)
	}
	if p.Sites[1].Settings != p.Settings || p.Settings.MinDays != 6 || p.Sites[1].Zone != p.Zone {
		t.Errorf("the other site: %+v", p.Sites[1].Settings)
	}
}

func TestTimesInWhichPeopleAreAway(t *testing.T) {
	day := civil.MustParse
	files := folder(t, example, false)
	person := "\n  - code: eve\n    name: Eve Beispiel\n    email: eve@birches.example\n    away: "
	for _, r := range []struct {
		text string
		want []civil.Range
		bad  string
	}{
		{"[2031-06-01 to 2031-06-14, 2031-07-01]", []civil.Range{{First: day("2031-06-01"), Last: day("2031-06-14")}, {First: day("2031-07-01"), Last: day("2031-07-01")}}, ""},
		{"[]", nil, ""},
		{"[2031-06-14 to 2031-06-01]", nil, "write the first day before the last"},
		{"[1 June]", nil, "is no absence"},
		{"[2031-06-01 to 2033-06-01]", nil, "more than a year"},
	} {
		changed := maps.Clone(files)
		changed["people.yml"] = append(slices.Clone(files["people.yml"]), []byte(person+r.text+"\n")...)
		p, problems := config.Parse(changed, time.LoadLocation)
		if r.bad != "" {
			if len(problems) != 1 || !strings.Contains(problems[0].String(), r.bad) {
				t.Errorf("away: %s: %v", r.text, problems)
			}
			continue
		}
		if len(problems) > 0 || !slices.Equal(p.People[len(p.People)-1].Away, r.want) {
			t.Errorf("away: %s: %v", r.text, problems)
		}
	}
}

func TestDaysOnWhichPeopleCanGo(t *testing.T) {
	for _, c := range []struct{ written, want string }{
		{"", "SMTWTFS"}, {"can_go: any", "SMTWTFS"}, {"can_go: weekends", "S     S"}, {"can_go: workdays", " MTWTF "},
		{"can_go: [tue, Saturday]", "  T   S"}, {"can_go:", "SMTWTFS"},
	} {
		files := folder(t, "testdata/good", false)
		files["people.yml"] = append(files["people.yml"], "  - code: eve\n    name: Eve\n    email: eve@birches.example\n    "+c.written+"\n"...)
		eve := parsed(t, files).People[4]
		got := []byte("       ")
		for d := range got {
			// 2031-01-05 is a Sunday (computed by the standard library's calendar).
			if eve.CanGo.Has(civil.Of(2031, time.January, 5+d)) {
				got[d] = "SMTWTFS"[d]
			}
		}
		if string(got) != c.want {
			t.Errorf("%q: %q, want %q", c.written, got, c.want)
		}
	}
}

func TestHowAFileIsLaidOut(t *testing.T) {
	p := parsed(t, folder(t, "testdata/good", false))
	one, two, three := p.Stations[0], p.Stations[1], p.Stations[2]
	if one.Separator != ";" || one.Decimal != "," || one.DateLayout != "DD.MM.YYYY" || one.Unit != "F" || one.Missing[0] != "-200" ||
		one.Columns["date"] != "1" || one.Columns["tmean"] != "Air temp" || one.Path != "../data/one.csv" {
		t.Errorf("%+v", one)
	}
	if one.Window != (config.Window{StartHour: 18, EndHour: 18, Zone: "UTC", Label: "end"}) || one.Window.String() != "18-18 UTC end" {
		t.Errorf("window %+v", one.Window)
	}
	if two.Format != config.FormatGHCNDaily || two.ID != "FIE00142080" || two.Window.String() != "not stated" {
		t.Errorf("%+v", two)
	}
	if three.Format != config.FormatOpenMeteo || three.Location != 2 || three.URL != "https://weather.example/v1/archive?daily=temperature_2m_mean" || three.Window.Label != "start" {
		t.Errorf("%+v", three)
	}
}

func TestDistances(t *testing.T) {
	// A quarter of a great circle of radius 6371.0 km is 10007.5 km, a degree
	// of it 111.19 km (computed by hand: π/2·6371 and a ninetieth of it).
	for _, c := range []struct{ lat1, lon1, lat2, lon2, km float64 }{
		{0, 0, 90, 0, 10007.5}, {0, 0, 0, 1, 111.19}, {60, 24, 60, 24, 0}, {60, 10, 61, 10, 111.19}, {0, -90, 0, 90, 20015.1},
	} {
		got := config.Site{LatDeg: c.lat1, LonDeg: c.lon1}.DistanceKm(config.Station{LatDeg: c.lat2, LonDeg: c.lon2})
		if got < c.km-0.1 || got > c.km+0.1 {
			t.Errorf("%v: %.2f km", c, got)
		}
	}
}

func TestUnderstood(t *testing.T) {
	for name, shown := range map[string]bool{"understood.txt": false, "understood-all.txt": true} {
		golden(t, "testdata/"+name, config.Understood(parsed(t, folder(t, example, shown))))
	}
}

func golden(t *testing.T, file, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil || string(want) != got {
		t.Errorf("%s (%v; -update rewrites it):\n%s\nwant:\n%s", file, err, got, want)
	}
}
