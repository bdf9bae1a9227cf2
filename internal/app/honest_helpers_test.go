package app_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"budcall/internal/app"
	"budcall/internal/civil"
	smtp "budcall/internal/mail"
	"budcall/internal/testpg"
)

// inventedMean is the daily mean of an invented station in southern Finland,
// in °C: a course over the year, and weather that is the same at every call.
func inventedMean(d civil.Date) float64 {
	noise := 0.0
	for back := range 6 { // weather that hangs together over some days
		r := rand.New(rand.NewPCG(uint64(d)-uint64(back), 7))
		noise += r.NormFloat64() * math.Pow(0.7, float64(back))
	}
	warmer := rand.New(rand.NewPCG(uint64(d.Year()), 11)).NormFloat64()
	return math.Round((courseC(d)+2*noise+warmer)*10) / 10
}

// courseC is the course over the year, without weather.
func courseC(d civil.Date) float64 {
	return 5.5 - 12*math.Cos(2*math.Pi*float64(d.YearDay()-22)/365.25)
}

// inventedStation writes the days from 1 January 2002 to the day before end.
func inventedStation(end civil.Date) string {
	var b strings.Builder
	b.WriteString("date,tmin_c,tmax_c,tmean_c\n")
	for d := civil.Of(2002, 1, 1); d < end; d++ {
		c := inventedMean(d)
		fmt.Fprintf(&b, "%s,%.1f,%.1f,%.1f\n", d, c-4, c+5, c)
	}
	return b.String()
}

// play is one program with its station file, database and mails.
type play struct {
	*app.App
	dir, dsn string
	box      *letterbox
}

// extra is what a play has beyond one site: text added to files.
type extra map[string]string

// begin starts a program on a station file of its own.
func begin(t *testing.T, day, station string, more extra) *play {
	t.Helper()
	p := &play{box: &letterbox{}, dsn: testpg.New(t)}
	sink, err := smtp.ServeSink(t.Context(), smtp.SinkOptions{Take: p.box.take})
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "met.csv")
	if err := os.WriteFile(file, []byte(station), 0o644); err != nil {
		t.Fatal(err)
	}
	p.dir = oneSite(t, sink.Addr(), file)
	for name, text := range more {
		path := filepath.Join(p.dir, name)
		before, err := os.ReadFile(path)
		if err == nil || os.IsNotExist(err) {
			err = os.WriteFile(path, append(before, text...), 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	p.App = open(t, p.dir, day, p.dsn)
	return p
}

// hook is a webhook of the programme that takes everything.
func hook(t *testing.T) extra {
	t.Helper()
	s := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) {}))
	t.Cleanup(s.Close)
	return extra{
		"programme.yml": "webhooks:\n  - name: lab\n    url: " + s.URL + "/season\n    secret_files: [hook-key]\n    allow: [127.0.0.1/32]\n",
		"hook-key":      "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw\n",
	}
}

// bagAll reports, by the form of the latest mail that calls for it, that both
// trees have their bags.
func (p *play) bagAll(t *testing.T) {
	t.Helper()
	for _, m := range p.box.all() {
		if !strings.Contains(m.subject, "Bag on") {
			continue
		}
		link := linkInMail.FindString(m.text)
		key := regexp.MustCompile(`name="key" value="([^"]+)"`).FindStringSubmatch(get(t, link))
		r, err := http.PostForm(link, url.Values{"key": {key[1]}, "selfing.T1": {"2"}, "control.T1": {"1"}, "selfing.T2": {"3"}, "control.T2": {"1"}})
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		if r.StatusCode != http.StatusOK {
			t.Fatal(r.Status)
		}
		return
	}
	for _, m := range p.box.all() {
		t.Log(m.to, m.subject)
	}
	t.Fatal("nobody was called for bagging")
}

// said is everything that the program has issued, decided and told, as text:
// forecasts, calls, changes of standing, what is owed, and the letters. Only
// what a second program can't share is taken out: the port and the key of the
// links, which letters are known by too.
func (p *play) said(t *testing.T) string {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), p.dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	var out strings.Builder
	for _, query := range []string{
		`select 'forecast', site, season, stage, issued_on, coalesce(p10::text, '-'), coalesce(p50::text, '-'), coalesce(p90::text, '-'), encode(live, 'hex') from issued order by site, stage, issued_on`,
		`select 'call', site, season, task, standing, coalesce(answer_by::text, '-'), state::text from site_call order by site, season, task`,
		`select 'change', site, task, at, standing, reason, coalesce(first_day::text, '-'), coalesce(last_day::text, '-') from standing_change order by at, site, task, standing`,
		`select 'owed', site, task, serial, person, standing, reason, passed, at, item::text from owed order by at, site, task, serial, person`,
		`select 'letter', channel, target, kind, written_at, expires_at, state, content::text from letter order by written_at, channel, target, kind, content::text`,
		`select 'score', site, stage, lead, issued_on, seen, error_days, crps_days, mean_date_days, regression_days from score order by site, stage, lead`,
		`select 'reading', station, day, coalesce(mean_c, 'NaN'), mark from station_day order by station, day`,
		`select 'trouble', subject, text, over_at is null from trouble order by subject`,
	} {
		rows, err := conn.Query(t.Context(), query)
		if err != nil {
			t.Fatal(err)
		}
		for rows.Next() {
			values, err := rows.Values()
			if err != nil {
				t.Fatal(err)
			}
			fmt.Fprintln(&out, values...)
		}
		if rows.Err() != nil {
			t.Fatal(rows.Err())
		}
	}
	return letterID.ReplaceAllString(anyLink.ReplaceAllString(out.String(), "LINK"), "LETTER")
}

// alike compares two programs' sayings and shows the first line that differs.
func alike(t *testing.T, sentence, want, got string) {
	t.Helper()
	a, b := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range max(len(a), len(b)) {
		var x, y string
		if i < len(a) {
			x = a[i]
		}
		if i < len(b) {
			y = b[i]
		}
		if x != y {
			t.Errorf("%s: line %d\nwant %.900s\ngot  %.900s", sentence, i+1, x, y)
			return
		}
	}
}
