package replay_test

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"budcall/internal/app"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/replay"
	"budcall/internal/weather"
)

// service is a station and a forecast service on this machine, in the
// program's time.
type service struct {
	*httptest.Server
	at atomic.Int64 // the program's time, in seconds
}

func newService(t *testing.T, start time.Time) *service {
	t.Helper()
	s := &service{}
	s.at.Store(start.Unix())
	mux := http.NewServeMux()
	mux.HandleFunc("/station.csv", func(w http.ResponseWriter, _ *http.Request) {
		fmt.Fprint(w, stationFile(7, 2007, civil.At(time.Unix(s.at.Load(), 0).UTC())))
	})
	mux.HandleFunc("/forecast", s.forecast)
	s.Server = httptest.NewServer(mux)
	t.Cleanup(s.Close)
	return s
}

// forecast answers in the style of MET Norway: ten days of hourly steps, two
// degrees colder than it will be.
func (s *service) forecast(w http.ResponseWriter, _ *http.Request) {
	now := time.Unix(s.at.Load(), 0).UTC()
	w.Header().Set("Date", now.Format(http.TimeFormat))
	w.Header().Set("Expires", now.Add(time.Hour).Format(http.TimeFormat))
	var steps []string
	for h := range 241 {
		at := now.Truncate(time.Hour).Add(time.Duration(h) * time.Hour)
		steps = append(steps, fmt.Sprintf(`{"time":%q,"data":{"instant":{"details":{"air_temperature":%.1f}}}}`, at.Format(time.RFC3339), meanC(7, civil.At(at))-2))
	}
	fmt.Fprintf(w, `{"type":"Feature","geometry":{"type":"Point","coordinates":[25.0,60.3,51]},"properties":{"meta":{"updated_at":%q,"units":{"air_temperature":"celsius"}},"timeseries":[%s]}}`,
		now.Format(time.RFC3339), strings.Join(steps, ","))
}

// A season with a station and forecasts from services is replayed from what
// the database has kept of it: readings, short-range forecasts, reports.
func TestAReplayFromTheDatabaseIsTheLiveSeason(t *testing.T) {
	first, last := civil.MustParse("2016-04-10"), civil.MustParse("2016-05-14")
	s := newService(t, first.In(time.UTC, 0, 0))
	files := programme(t, 1, 2015, civil.MustParse("2015-02-01"))
	files["stations.yml"] = "stations:\n  - {code: MET0, name: Hut, lat_deg: 60.3, lon_deg: 25.0, altitude_m: 50, format: delimited, url: \"" + s.URL + "/station.csv\", unit: C}\n" +
		"forecasts:\n  - {code: skies, format: metno, url: \"" + s.URL + "/forecast\", contact: ops@birches.example}\n"
	files["sites/s00.yml"] = strings.ReplaceAll(files["sites/s00.yml"], "[MET0, MET1]", "[MET0]")
	l := start(t, files, first)
	l.moved = func(at time.Time) { s.at.Store(at.Unix()) }
	l.playTo(t, civil.MustParse("2016-05-02").In(time.UTC, 16, 20))
	l.form(t, "SITE00", call.BagOn, url.Values{"selfing.T1": {"2"}, "control.T1": {"1"}, "seen.01": {"yes"}, "seen.07": {"no"}})
	end := (last + 1).In(time.UTC, 0, 0)
	l.playTo(t, end)

	b, err := app.Attach(t.Context(), app.Options{DSN: l.dsn})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close(context.Background())
	days, err := b.Readings(t.Context(), "MET0", 1990, 2016)
	if err != nil {
		t.Fatal(err)
	}
	series, err := replay.NewSeries(days)
	if err != nil {
		t.Fatal(err)
	}
	reports, err := b.Reported(t.Context(), []string{"SITE00"}, 2016, 2016)
	if err != nil || len(reports) == 0 {
		t.Fatal(len(reports), err)
	}
	outlooks := 0
	again := replayOf(t, l, first, func(o *replay.Options) {
		o.Series = map[string]*replay.Series{"MET0": series}
		o.Outlook = func(ctx context.Context, site string, at time.Time) (days []weather.Day, issued time.Time, err error) {
			days, issued, err = b.Outlook(ctx, site, at)
			if len(days) > 0 {
				outlooks++
			}
			return days, issued, err
		}
	})
	for _, said := range replay.Grouped(reports) {
		if err := again.Report(t.Context(), said[0].At, said...); err != nil {
			t.Fatal(err)
		}
	}
	if err := again.PlayTo(t.Context(), end); err != nil {
		t.Fatal(err)
	}
	if outlooks < 60 {
		t.Errorf("a short-range forecast was known in only %d runs", outlooks)
	}
	sameAsLive(t, l, again, 2016)
}
