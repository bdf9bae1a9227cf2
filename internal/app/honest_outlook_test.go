package app_test

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/postgres"
)

// skies is a forecast service in the style of MET Norway, in the program's
// time: it wants to know who asks, four decimals at most, no question before
// an answer has expired, and to be told what was answered last.
type skies struct {
	*httptest.Server
	offsetK float64 // of every day foretold against the course of the year

	mu        sync.Mutex
	now       func() time.Time // set once the program is there
	expires   time.Time
	modified  string
	asked     int
	unchanged int
	wrong     []string
}

var placeInQuery = regexp.MustCompile(`^-?\d+(\.\d{1,4})?$`)

func newSkies(t *testing.T, offsetK float64) *skies {
	t.Helper()
	s := &skies{offsetK: offsetK}
	s.Server = httptest.NewServer(s)
	t.Cleanup(s.Close)
	return s
}

func (s *skies) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.now()
	s.asked++
	s.judge(r, now)
	// Mornings bring a new forecast that holds an hour. On every third day it holds until after the afternoon's slot.
	day := civil.At(now)
	modified := day.In(time.UTC, 2, 0).Format(http.TimeFormat)
	s.expires = now.Add(time.Hour)
	if day%3 == 0 {
		s.expires = now.Add(11 * time.Hour)
	}
	w.Header().Set("Date", now.Format(http.TimeFormat))
	w.Header().Set("Expires", s.expires.Format(http.TimeFormat))
	w.Header().Set("Last-Modified", modified)
	if r.Header.Get("If-Modified-Since") == modified {
		s.unchanged++
		w.WriteHeader(http.StatusNotModified)
		return
	}
	s.modified = modified
	s.foretell(w, now)
}

// judge notes what a real service would answer with 403 or 429.
func (s *skies) judge(r *http.Request, now time.Time) {
	say := func(format string, args ...any) { s.wrong = append(s.wrong, fmt.Sprintf(format, args...)) }
	if agent := r.UserAgent(); !strings.HasPrefix(agent, "budcall/") || !strings.Contains(agent, "ops@birches.example") {
		say("User-Agent %q names nobody", agent)
	}
	for _, k := range []string{"lat", "lon"} {
		if v := r.URL.Query().Get(k); !placeInQuery.MatchString(v) {
			say("%s=%q has more than four decimals", k, v)
		}
	}
	if now.Before(s.expires) {
		say("asked at %s, before %s", now, s.expires)
	}
	if got := r.Header.Get("If-Modified-Since"); got != s.modified {
		say("If-Modified-Since %q, and the last answer said %q", got, s.modified)
	}
}

// foretell writes ten days of hourly steps.
func (s *skies) foretell(w http.ResponseWriter, now time.Time) {
	var steps []string
	for h := range 241 {
		at := now.Truncate(time.Hour).Add(time.Duration(h) * time.Hour)
		steps = append(steps, fmt.Sprintf(`{"time":%q,"data":{"instant":{"details":{"air_temperature":%.1f}}}}`, at.Format(time.RFC3339), courseC(civil.At(at))+s.offsetK))
	}
	fmt.Fprintf(w, `{"type":"Feature","geometry":{"type":"Point","coordinates":[25.0,60.3,51]},"properties":{"meta":{"updated_at":%q,"units":{"air_temperature":"celsius"}},"timeseries":[%s]}}`,
		now.Format(time.RFC3339), strings.Join(steps, ","))
}

// spring plays six days before bagging under a sky; nil is no forecast at all.
func spring(t *testing.T, sky *skies) (last, p50 civil.Date, outlooks int) {
	t.Helper()
	more := extra{}
	if sky != nil {
		more["stations.yml"] = "forecasts:\n  - code: skies\n    format: metno\n    url: " + sky.URL + "/locationforecast\n    contact: ops@birches.example\n"
		sky.now = func() time.Time { return civil.MustParse("2016-04-22").In(time.UTC, 0, 0) }
	}
	p := begin(t, "2016-04-22", inventedStation(civil.MustParse("2016-12-01")), more)
	if sky != nil {
		sky.mu.Lock()
		sky.now = func() time.Time {
			at, _, err := p.DB().Clock(context.Background())
			if err != nil {
				t.Error(err)
			}
			return at
		}
		sky.mu.Unlock()
	}
	until(t, p.App, "2016-04-28")
	err := p.DB().Read(t.Context(), func(b *postgres.Book) error {
		calls, err := b.Calls(t.Context(), "HOME", 2016)
		if err != nil {
			return err
		}
		last = calls[call.BagOn].Days.Last
		issued, err := b.Issued(t.Context(), "HOME", 2016)
		for _, i := range issued {
			if i.Code == 7 {
				p50 = i.P50
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return last, p50, len(outlookDays(t, p))
}

// outlookDays lists the moments at which outlooks were stored.
func outlookDays(t *testing.T, p *play) (issued []time.Time) {
	t.Helper()
	now, _, err := p.DB().Clock(t.Context())
	if err == nil {
		err = p.DB().Read(t.Context(), func(b *postgres.Book) error {
			for at := now; ; at = issued[len(issued)-1].Add(-time.Second) {
				days, on, err := b.Outlook(t.Context(), "HOME", at)
				if err != nil || len(days) == 0 {
					return err
				}
				issued = append(issued, on)
				if days[0].Date < civil.At(on) || len(days) < 9 {
					return fmt.Errorf("the outlook of %s runs from %s over %d days", on, days[0].Date, len(days))
				}
			}
		})
	}
	if err != nil {
		t.Fatal(err)
	}
	slices.Reverse(issued)
	return issued
}

// A cold outlook moves bagging to later days and a warm one to earlier ones,
// against no forecast at all; and the service is asked as it wants to be.
func TestAForecastMovesTheDaysOfBagging(t *testing.T) {
	t.Parallel()
	cold, warm := newSkies(t, -7), newSkies(t, 7)
	plainLast, plain50, none := spring(t, nil)
	coldLast, cold50, stored := spring(t, cold)
	warmLast, warm50, _ := spring(t, warm)
	t.Logf("last day and P50 of bud break: cold %s %s, without %s %s, warm %s %s", coldLast, cold50, plainLast, plain50, warmLast, warm50)
	if !(warmLast < plainLast && plainLast < coldLast) {
		t.Errorf("last day of bagging: warm %s, without %s, cold %s", warmLast, plainLast, coldLast)
	}
	if !(warm50 < plain50 && plain50 < cold50) {
		t.Errorf("P50 of bud break: warm %s, without %s, cold %s", warm50, plain50, cold50)
	}
	if none != 0 || stored != 7 { // one each morning; in the afternoons it had not changed or not expired
		t.Errorf("%d outlooks were stored, want one a day; without a service %d", stored, none)
	}
	for _, s := range []*skies{cold, warm} {
		if len(s.wrong) > 0 {
			t.Errorf("the service was offended:\n%s", strings.Join(s.wrong, "\n"))
		}
		if s.unchanged == 0 || s.asked >= 14 {
			t.Errorf("asked %d times in 7 days with 14 slots, %d times nothing had changed", s.asked, s.unchanged)
		}
	}
}
