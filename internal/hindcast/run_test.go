package hindcast_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/hindcast"
)

var invented = hindcast.Request{Species: "Betula pendula", Phase: "bud break", LeadDays: []int{28, 14, 7, 3}, Workers: 2}

func read(t testing.TB, name string) string {
	b, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// inMemory gives observations and the one temperature file as texts.
func inMemory(observations, temperatures string) hindcast.Files {
	return hindcast.Files{Observations: strings.NewReader(observations), Temperatures: func(name string) (io.ReadCloser, error) {
		if name != "invented_daily_2015-2031.csv" {
			return nil, errors.New("no such file")
		}
		return io.NopCloser(strings.NewReader(temperatures)), nil
	}}
}

func mustRun(t testing.TB, r hindcast.Request, f hindcast.Files) hindcast.Result {
	t.Helper()
	result, err := hindcast.Run(context.Background(), r, f)
	if err != nil {
		t.Fatal(err)
	}
	return result
}

func inventedFiles(t testing.TB) hindcast.Files {
	return inMemory(read(t, "observations.csv"), read(t, "invented_daily_2015-2031.csv"))
}

// The invented dates follow heat, so that it must beat both baselines once the
// heat is there; and every line that is wrong is said.
func TestScoresOfInventedDates(t *testing.T) {
	r := mustRun(t, invented, inventedFiles(t))
	if r.Units != 5 || r.Seasons != 17 { // counted in the file: 3 plots, 2 with next to nothing; 2015-2030 and 2012
		t.Errorf("%d units in %d seasons, want 5 in 17", r.Units, r.Seasons)
	}
	for _, l := range r.Leads {
		t.Logf("%+v", l)
		if l.Ahead+l.Gone != 48 { // 3 plots by 16 years
			t.Errorf("%d days ahead: %d + %d cases, want 48", l.Lead, l.Ahead, l.Gone)
		}
		if l.Lead <= 7 && l.Skill < 0.15 {
			t.Errorf("%d days ahead: skill %.3f on dates made of heat", l.Lead, l.Skill)
		}
		if l.SkillLow > l.Skill || l.SkillHigh < l.Skill || l.Width80 <= 0 || l.RMSE < l.MAE {
			t.Errorf("%d days ahead: %+v contradicts itself", l.Lead, l)
		}
	}
	notes := strings.Join(r.Notes, "\n")
	for _, want := range []string{
		"line 52: \"400\" is no day of 2031", "line 53: Ashholm in 2020 is there twice", "2012: Ashholm: not scored", "2020, 2021: Dunmere: not scored: it has 1 other years",
		"lost.csv: no such file", "2021: Elmford: not scored",
	} {
		if !strings.Contains(notes, want) {
			t.Errorf("nothing is said of %q in\n%s", want, notes)
		}
	}
}

func TestResultIsWrittenWithTheseKeys(t *testing.T) {
	b, err := json.Marshal(mustRun(t, invented, inventedFiles(t)))
	if err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal(b, &got); err != nil {
		t.Fatal(err)
	}
	for key, want := range map[string]any{"series": "Betula pendula, bud break", "species": "Betula pendula", "phase": "bud break", "per": "site", "units": 5.0, "seasons": 17.0} {
		if got[key] != want {
			t.Errorf("%s is %v, want %v", key, got[key], want)
		}
	}
	if notes := got["notes"].([]any); len(got) != 8 || len(notes) < 5 {
		t.Errorf("%d keys, %d notes", len(got), len(notes))
	}
	lead := got["leads"].([]any)[0].(map[string]any)
	want := strings.Fields("lead n_ahead n_gone crps crps_mean_date crps_regression skill mae rmse bias coverage80 width80 skill_low skill_high pit")
	for _, k := range want {
		if _, ok := lead[k]; !ok {
			t.Errorf("%s is missing", k)
		}
	}
	if len(lead) != len(want) {
		t.Errorf("%d keys, want %d", len(lead), len(want))
	}
}

func TestWorkersChangeNothing(t *testing.T) {
	one, many := invented, invented
	one.Workers, many.Workers = 1, 5
	if a, b := mustRun(t, one, inventedFiles(t)), mustRun(t, many, inventedFiles(t)); !reflect.DeepEqual(a, b) {
		t.Error("five workers found something else than one")
	}
}

// nonsense replaces every temperature of a file from a day on, to the end of
// its year or for good.
func nonsense(temperatures string, from civil.Date, forGood bool) string {
	var out strings.Builder
	for i, line := range strings.SplitAfter(temperatures, "\n") {
		day, err := civil.Parse(strings.SplitN(line, ",", 2)[0])
		if err == nil && day >= from && (forGood || day.Year() == from.Year()) {
			line = fmt.Sprintf("%s,%d,%d,%d\n", day, i%17-8, i%17+20, i%17+6)
		}
		out.WriteString(line)
	}
	return out.String()
}

// later puts off every date of a year that is after a day.
func later(observations string, after civil.Date) string {
	var out strings.Builder
	for _, line := range strings.SplitAfter(observations, "\n") {
		var doy int
		f := strings.Split(line, ",")
		if _, err := fmt.Sscanf(f[0], "%d", &doy); err == nil && f[3] == fmt.Sprint(after.Year()) && civil.Of(after.Year(), 1, doy) > after {
			f[0] = fmt.Sprint(doy + 9)
			line = strings.Join(f, ",")
		}
		out.WriteString(line)
	}
	return out.String()
}

// Whatever stands in the data after the day of issue, the forecasts of the
// season are the same to the last bit: of the season itself when all other
// years may be learned from, and for good when only earlier ones may.
func TestNothingAfterTheDayOfIssueMatters(t *testing.T) {
	observations, temperatures := read(t, "observations.csv"), read(t, "invented_daily_2015-2031.csv")
	for _, row := range []struct {
		name    string
		request hindcast.Request
		lead    int
	}{
		{"all other years, a fortnight ahead", hindcast.Request{}, 14},
		{"all other years, three days ahead", hindcast.Request{}, 3},
		{"earlier years alone", hindcast.Request{PastOnly: true}, 7},
		{"own visits alone, reports three days late", hindcast.Request{OwnVisitsOnly: true, ReportDelayDays: 3}, 7},
	} {
		r := row.request
		r.Species, r.Phase, r.LeadDays, r.Workers = invented.Species, invented.Phase, []int{row.lead}, 2
		before := mustRun(t, r, inMemory(observations, temperatures))
		const year = 2027
		var last civil.Date
		for _, c := range before.Cases {
			if c.Year == year {
				last = max(last, c.Issued)
			}
		}
		after := mustRun(t, r, inMemory(later(observations, last), nonsense(temperatures, last, r.PastOnly)))
		compared := 0
		for i, c := range before.Cases {
			d := after.Cases[i]
			if c.Year != year || c.Gone {
				continue
			}
			compared++
			for k := range c.Forecast.By {
				if math.Float64bits(c.Forecast.By[k]) != math.Float64bits(d.Forecast.By[k]) {
					t.Fatalf("%s: %s by %s: %g became %g", row.name, c.Unit, c.Forecast.From+civil.Date(k), c.Forecast.By[k], d.Forecast.By[k])
				}
			}
		}
		if compared == 0 || reflect.DeepEqual(before, after) {
			t.Errorf("%s: %d forecasts compared, and the nonsense was not seen at all", row.name, compared)
		}
	}
}

// Reports of other plots tell of the year, and a forecast of the weather of the
// weather: both must change what is forecast, and for the better here.
func TestMoreKnownIsBetter(t *testing.T) {
	score := func(with func(*hindcast.Request)) (sum float64) {
		r := invented
		with(&r)
		for _, l := range mustRun(t, r, inventedFiles(t)).Leads[1:] {
			sum += l.CRPS
		}
		return sum
	}
	own := score(func(r *hindcast.Request) { r.OwnVisitsOnly = true })
	season := score(func(*hindcast.Request) {})
	simulated := score(func(r *hindcast.Request) { r.Simulated = true })
	t.Logf("own visits %.3f, all visits %.3f, with a forecast %.3f days", own, season, simulated)
	if season >= own || simulated >= season {
		t.Errorf("own visits %.3f, all visits %.3f, with a forecast %.3f days", own, season, simulated)
	}
}

// Columns in another order and under other names, sites as stations or trees:
// the same scores.
func TestColumnsInAnyOrder(t *testing.T) {
	want := mustRun(t, invented, inventedFiles(t))
	for _, name := range []string{"REGION", "tree"} {
		var out strings.Builder
		for _, line := range strings.Split(strings.ReplaceAll(read(t, "observations.csv"), "plot", name), "\n") {
			if f := strings.Split(line, ","); len(f) == 8 && !strings.HasPrefix(line, "#") {
				line = strings.Join([]string{f[7], f[3], f[2], f[5], f[0], f[4], f[6], f[1]}, ",")
			}
			out.WriteString(line + "\n")
		}
		got := mustRun(t, invented, inMemory(out.String(), read(t, "invented_daily_2015-2031.csv")))
		if !reflect.DeepEqual(got.Leads, want.Leads) {
			t.Errorf("sites called %s: %+v", name, got.Leads)
		}
	}
}

func TestPerYearIsOneUnit(t *testing.T) {
	r := invented
	r.Per = hindcast.PerYear
	got := mustRun(t, r, inventedFiles(t))
	if got.Units != 1 || got.Leads[0].Ahead+got.Leads[0].Gone != 16 {
		t.Errorf("%d units, %+v", got.Units, got.Leads[0])
	}
}

func TestWhatCannotBeScored(t *testing.T) {
	header := "site,species,phase,year,doy,temperature_file\n"
	for _, row := range []struct {
		name, observations, want string
		with                     func(*hindcast.Request)
	}{
		{"no column of the day", "site,species,phase,year,temperature_file\n", "no column is called doy", nil},
		{"an empty file", "", "reading the header", nil},
		{"no line at all", header, "no line of the observations can be used", nil},
		{"another species", header + "A,Alnus,bud break,2020,100,x.csv\n", `"Alnus", "bud break"`, nil},
		{"no lead", header, "no lead is given", func(r *hindcast.Request) { r.LeadDays = nil }},
		{"a lead behind", header, "-3 days ahead", func(r *hindcast.Request) { r.LeadDays = []int{-3} }},
		{"per forest", header, "per \"forest\"", func(r *hindcast.Request) { r.Per = "forest" }},
		{"no phase", header, "no phase is named", func(r *hindcast.Request) { r.Phase = "" }},
		{"a delay backwards", header, "-1 days", func(r *hindcast.Request) { r.ReportDelayDays = -1 }},
	} {
		r := invented
		if row.with != nil {
			row.with(&r)
		}
		_, err := hindcast.Run(context.Background(), r, inMemory(row.observations, ""))
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: %v, want %q", row.name, err, row.want)
		}
	}
}

// A season with forty days missing is forecast all the same, and said.
func TestASeasonWithFortyMissingDays(t *testing.T) {
	var gappy strings.Builder
	for _, line := range strings.SplitAfter(read(t, "invented_daily_2015-2031.csv"), "\n") {
		if day, err := civil.Parse(strings.SplitN(line, ",", 2)[0]); err == nil && day > civil.Of(2022, 2, 20) && day <= civil.Of(2022, 4, 1) {
			line = day.String() + ",,,\n"
		}
		gappy.WriteString(line)
	}
	r := mustRun(t, invented, inMemory(read(t, "observations.csv"), gappy.String()))
	if notes := strings.Join(r.Notes, "\n"); !strings.Contains(notes, `"invented_daily_2015-2031.csv" has no reading on 40 days`) {
		t.Errorf("nothing is said of forty missing days in\n%s", notes)
	}
	for _, c := range r.Cases {
		if math.IsNaN(c.CRPS) || c.CRPS < 0 {
			t.Fatalf("%+v", c)
		}
	}
	if l := r.Leads[0]; l.Ahead+l.Gone != 48 {
		t.Errorf("%d + %d cases, want 48", l.Ahead, l.Gone)
	}
}

// Hopeless data give a result that says so.
func TestHopelessDataAreSaid(t *testing.T) {
	observations := read(t, "observations.csv")
	for _, row := range []struct{ name, observations, temperatures, want string }{
		{"no temperatures at all", observations, "date,tmin_c,tmax_c,tmean_c\n", "has no temperatures of that year"},
		{"no dates in the temperatures", observations, "when,tmean_c\n2020-01-01,3\n", "no column is called date"},
		{"two years", "plot,species,phase,year,doy,temperature_file\nA,Betula pendula,bud break,2020,130,invented_daily_2015-2031.csv\nA,Betula pendula,bud break,2021,131,invented_daily_2015-2031.csv\n",
			read(t, "invented_daily_2015-2031.csv"), "it has 1 other years"},
		{"dates before any heat", "plot,species,phase,year,doy,temperature_file\n" + winter(), read(t, "invented_daily_2015-2031.csv"), "hardly any heat"},
	} {
		r := mustRun(t, invented, inMemory(row.observations, row.temperatures))
		if !strings.Contains(strings.Join(r.Notes, "\n"), row.want) {
			t.Errorf("%s: %q isn't said in %q", row.name, row.want, r.Notes)
		}
		for _, l := range r.Leads {
			if l.Ahead != 0 || math.IsNaN(l.Skill) || l.Skill != 0 {
				t.Errorf("%s: %+v", row.name, l)
			}
		}
	}
}

func winter() string {
	var out strings.Builder
	for y := 2015; y < 2030; y++ {
		fmt.Fprintf(&out, "A,Betula pendula,bud break,%d,%d,invented_daily_2015-2031.csv\n", y, 30+y%4)
	}
	return out.String()
}

func TestARunCanBeBroken(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	r := invented
	r.Workers = 1
	r.Progress = func(done, total int) {
		if done == 2 {
			cancel()
		}
		if done > total {
			t.Errorf("%d of %d seasons", done, total)
		}
	}
	if _, err := hindcast.Run(ctx, r, inventedFiles(t)); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
}

// Any bytes are refused or read, and what is read has a real day.
func FuzzObservations(f *testing.F) {
	f.Add([]byte("site,species,phase,year,doy,temperature_file\nA,B,c,2020,100.5,x.csv\n"))
	f.Add([]byte("tree,doy\n\"A\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		all, _, err := hindcast.ReadObservations(bytes.NewReader(b))
		for _, o := range all {
			if err != nil || o.Day.Year() != o.Year || o.Site == "" {
				t.Fatalf("%+v", o)
			}
		}
	})
}
