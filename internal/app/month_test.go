package app_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"budcall/internal/civil"
	smtp "budcall/internal/mail"
	"budcall/internal/postgres"
	"budcall/internal/testpg"
	"budcall/internal/weather"
)

const (
	monthFrom = "2031-04-15"
	monthTo   = "2031-05-16"
	firstKept = "2031-03-01" // from here on the test looks at what is stored
)

// monthTroubles are the month's: each provider has some, and all are over days
// before the end.
var monthTroubles = []trouble{
	{"FIN", "2031-04-17 00:00", "2031-04-17 23:00", "exception report with 200", "station:FIN: FMI answers with an exception"},
	{"SWE", "2031-04-19 00:00", "2031-04-19 23:00", "HTML for data", "station:SWE: "},
	{"GER", "2031-04-21 00:00", "2031-04-21 23:00", "503", "station:GER: "},
	{"NOR", "2031-04-23 00:00", "2031-04-24 05:00", "429", "station:NOR: "},
	{"MET", "2031-04-25 00:00", "2031-04-25 23:00", "truncated", "outlook:"},
	{"GER", "2031-05-04 00:00", "2031-05-04 23:00", "redirect elsewhere", "station:GER: "},
	{"SWE", "2031-05-06 00:00", "2031-05-06 23:00", "changed layout", "station:SWE: "},
	{"FIN", "2031-05-08 00:00", "2031-05-08 23:00", "truncated", "station:FIN: http"},
}

// monthSlips are values that their providers correct: one that can't be, and
// is never used, and one that may be.
var monthSlips = []slip{
	{"NOR", "2031-04-27", 17, "2031-05-02 12:00"},
	{"FIN", "2031-04-29", 2, "2031-05-03 12:00"},
}

// The logger sends nothing on these days, and then everything.
var loggerSilent = days("2031-04-28", "2031-05-02")

// month is a programme of five sites and the providers that it asks.
type month struct {
	*play
	services *services
	silent   bool
}

func newMonth(t *testing.T, faults bool) *month {
	t.Helper()
	m := &month{play: &play{box: &letterbox{}, dsn: testpg.New(t)}, services: &services{now: programTime(monthFrom + " 00:00")}, silent: faults}
	if faults {
		m.services.troubles, m.services.slips = monthTroubles, monthSlips
	}
	sink, err := smtp.ServeSink(t.Context(), smtp.SinkOptions{Take: m.box.take})
	if err != nil {
		t.Fatal(err)
	}
	m.dir = oneSite(t, sink.Addr(), "unused.csv")
	if err := os.Remove(filepath.Join(m.dir, "sites", "home.yml")); err != nil {
		t.Fatal(err)
	}
	s := m.services
	m.file(t, "frost.key", "a-client-id\n")
	m.file(t, "stations.yml", "neighbours:\n  within_km: 400\nstations:\n"+
		"  - {code: FIN, lat_deg: 60.3, lon_deg: 25.0, altitude_m: 51, format: fmi, id: \"990\", service: \""+s.serve(t, "FIN", s.fmi)+"\"}\n"+
		"  - {code: SWE, lat_deg: 60.2, lon_deg: 20.0, altitude_m: 51, format: smhi-metobs, id: \"990010\", service: \""+s.serve(t, "SWE", s.smhi)+"\"}\n"+
		"  - {code: GER, lat_deg: 59.5, lon_deg: 23.5, altitude_m: 51, format: dwd-daily, id: \"77\", service: \""+s.serve(t, "GER", s.dwd)+"\"}\n"+
		"  - {code: NOR, lat_deg: 60.5, lon_deg: 22.0, altitude_m: 51, format: frost, id: SN99010, key_file: frost.key, service: \""+s.serve(t, "NOR", s.frost)+"\"}\n"+
		"  - {code: LOG, lat_deg: 60.8, lon_deg: 24.0, altitude_m: 51, format: logger, path: logger.csv, window: 00-24 UTC}\n"+
		"forecasts:\n  - {code: met, format: metno, url: \""+s.serve(t, "MET", s.metno)+"/complete\", contact: maia@birches.example}\n")
	for _, site := range []struct{ code, stations, more string }{
		{"FINS", "FIN, SWE", "forecast: met\n"}, {"SWES", "SWE, FIN", ""}, {"GERS", "GER, FIN", ""}, {"NORS", "NOR, SWE", "forecast: met\n"}, {"LOGS", "LOG, FIN", ""},
	} {
		m.file(t, "sites/"+strings.ToLower(site.code)+".yml", "code: "+site.code+"\nname: "+site.code+" (invented)\nlat_deg: 60.3\nlon_deg: 25.0\naltitude_m: 51\nprofile: silver-birch\nstations: ["+site.stations+"]\nlead: otso\n"+
			site.more+"trees:\n  - {code: "+site.code+"-1, short: T1}\n")
	}
	m.logs(t, s.now)
	m.App = open(t, m.dir, monthFrom, m.dsn)
	m.past(t)
	return m
}

func (m *month) file(t *testing.T, name, body string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(m.dir, name), []byte(body), 0o600); err != nil {
		t.Fatal(err)
	}
}

// past puts seven years of every station into the memory.
func (m *month) past(t *testing.T) {
	t.Helper()
	for code := range stationOffsetK {
		h := weather.Haul{Source: weather.Source{Name: "station:" + code}, At: m.services.now, OpenYear: 2031}
		for d := civil.Of(2024, 1, 1); d < civil.MustParse("2031-04-01"); d++ {
			c := trueMean(code, d)
			h.Days = append(h.Days, weather.Day{Date: d, MinC: math.Round(10*(c-4)) / 10, MaxC: math.Round(10*(c+5)) / 10, MeanC: c})
		}
		if code == "LOG" {
			for i, d := range h.Days {
				if d.Date >= civil.MustParse("2031-03-15") { // what its file holds
					h.Days = h.Days[:i]
					break
				}
			}
		}
		part := postgres.Part{Station: code, Days: civil.Range{First: h.Days[0].Date, Last: h.Days[len(h.Days)-1].Date}, Source: "invented"}
		if err := m.DB().StoreBackFill(t.Context(), part, h); err != nil {
			t.Fatal(err)
		}
	}
}

// logs writes the logger's file as it is at a moment.
func (m *month) logs(t *testing.T, now time.Time) {
	t.Helper()
	if day := civil.At(now); m.silent && day >= loggerSilent.First && day <= loggerSilent.Last {
		now = loggerSilent.First.In(time.UTC, 0, 0).Add(-time.Hour)
	}
	m.file(t, "logger.csv", logger(civil.MustParse("2031-03-15"), now))
}

// passes lets the month pass, and looks after every step that no value is used
// that can't be.
func (m *month) passes(t *testing.T) {
	t.Helper()
	end := civil.MustParse(monthTo).In(time.UTC, 0, 0)
	for {
		next, err := m.Next(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if !next.Before(end) {
			return
		}
		m.services.setNow(next)
		m.logs(t, next)
		if err := m.StepTo(t.Context(), next); err != nil {
			t.Fatal(err)
		}
		for _, slip := range m.services.slips {
			if c := trueMean(slip.code, civil.MustParse(slip.day)); math.Abs(slip.byK) > 8 {
				if n := strings.TrimSpace(ask(t, m.dsn, fmt.Sprintf(`select count(*) from station_day where station = '%s' and day = '%s' and mark = '' and abs(mean_c - %f) > 1`, slip.code, slip.day, c))); n != "0" {
					t.Fatalf("at %s the slip of %s on %s is used", next, slip.code, slip.day)
				}
			}
		}
	}
}

// A month of five sites on five kinds of source with their troubles ends where
// a month without trouble does.
func TestAMonthOfTroubleEndsAsOneWithout(t *testing.T) {
	if testing.Short() {
		t.Skip("two simulated months take a minute")
	}
	t.Parallel()
	bad, good := newMonth(t, true), newMonth(t, false)
	bad.passes(t)
	good.passes(t)
	for _, m := range []*month{bad, good} {
		if len(m.services.wrong) > 0 {
			t.Errorf("providers were asked as they don't want it: %q", m.services.wrong[:min(3, len(m.services.wrong))])
		}
		m.everythingIsStored(t)
		if open := troubles(t, m.App); open != "" {
			t.Errorf("in the end there is still told: %s", open)
		}
	}
	alike(t, "standings with faults", good.stands(t), bad.stands(t))
	if s := good.stands(t); strings.Count(s, "\n") < 10 || !strings.Contains(s, "bag on") {
		t.Errorf("in this month there is nothing to compare:\n%s", s)
	}
	bad.eachIsToldOnce(t)
	for _, query := range []string{`select count(*) from station_wind where station = 'GER' and gust_ms = 10.1`, `select count(*) from outlook_wind where gust_ms = 9.5`, `select count(*) from station_day_before where station = 'FIN' and day = '2031-04-29'`} {
		if n := strings.TrimSpace(ask(t, bad.dsn, query)); n == "0" {
			t.Errorf("%s: none", query)
		}
	}
}

// stands is how the calls stand, and on which days those that haven't ended: an
// ended call keeps the days that it had then.
func (m *month) stands(t *testing.T) string {
	t.Helper()
	return ask(t, m.dsn, `select string_agg(site || ' ' || task || ' ' || standing || ' ' || case when standing in ('not needed', 'too late', 'done') then '' else coalesce(state->>'days', '-') end, E'\n' order by site, task) from site_call`)
}

// everythingIsStored looks at every day of every station.
func (m *month) everythingIsStored(t *testing.T) {
	t.Helper()
	last := civil.MustParse(monthTo) - 2 // the day before the end isn't over before the last pull
	err := m.DB().Read(t.Context(), func(b *postgres.Book) error {
		for code := range stationOffsetK {
			stored, err := b.Days(t.Context(), code, civil.MustParse(firstKept), last)
			if err != nil {
				return err
			}
			if want := int(last-civil.MustParse(firstKept)) + 1; len(stored) != want {
				t.Errorf("%s has %d of %d days", code, len(stored), want)
			}
			for _, d := range stored {
				want := trueMean(code, d.Date)
				if tolerance := map[bool]float64{true: 0.06, false: 1e-9}[code == "LOG"]; math.Abs(d.MeanC-want) > tolerance || d.Mark != weather.Usable || d.Provisional {
					t.Errorf("%s of %s is %+v, the server has %.1f", code, d.Date, d, want)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// eachIsToldOnce counts the mails by which the ops person is told.
func (m *month) eachIsToldOnce(t *testing.T) {
	t.Helper()
	count := func(words string) (n int) {
		for _, mail := range m.box.all() {
			overview := strings.HasPrefix(mail.subject, "Overview") // it repeats what is open
			if mail.to == "maia@birches.example" && !overview && strings.Contains(strings.Join(strings.Fields(mail.text), " "), words) {
				n++
			}
		}
		return n
	}
	want := map[string]int{"LOG": 0}
	for _, f := range monthTroubles {
		want[f.told]++
	}
	want["station LOG has been silent for"], want["2031-04-27 of NOR isn't used"] = 1, 1
	delete(want, "LOG")
	for words, n := range want {
		if got := count(words); got != n {
			t.Errorf("%q is told by %d mails, want %d", words, got, n)
		}
	}
	if t.Failed() {
		for _, mail := range m.box.all() {
			if text := mail.text; mail.to == "maia@birches.example" && strings.Contains(text, "outlook:") {
				t.Logf("%s\n%.1500s", mail.subject, text)
			}
		}
	}
}
