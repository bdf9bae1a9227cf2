package demo

import (
	"encoding/json"
	"io"
	"math"
	"net/http"
	"strings"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/feed"
)

func TestTheForecastServiceIsAsStrictAsARealOne(t *testing.T) {
	now := time.Date(seasonYear, 5, 3, 3, 10, 0, 0, time.UTC)
	o, err := serveOutlook(t.Context(), ourSky(), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = o.close() })
	ask := func(query, agent, since string) *http.Response {
		req, err := http.NewRequestWithContext(t.Context(), http.MethodGet, o.url()+"?"+query, nil)
		if err != nil {
			t.Fatal(err)
		}
		req.Header.Set("User-Agent", agent)
		if since != "" {
			req.Header.Set("If-Modified-Since", since)
		}
		resp, err := http.DefaultClient.Do(req)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { resp.Body.Close() })
		return resp
	}
	const good, polite = "lat=60.804&lon=24.102&altitude=126", "budcall/1 (+calls@birches.example)"
	for _, row := range []struct {
		says, query, agent, since string
		want                      int
	}{
		{"who says who asks is answered", good, polite, "", 200},
		{"nobody to reach is refused", good, "budcall/1", "", 403},
		{"a fifth decimal is refused", "lat=60.80401&lon=24.102&altitude=126", polite, "", 403},
		{"no place is refused", "lat=x&lon=24&altitude=1", polite, "", 403},
		{"nothing new is said so", good, polite, "Sat, 03 May 2031 00:00:00 GMT", 304},
		{"something new is sent", good, polite, "Fri, 02 May 2031 18:00:00 GMT", 200},
	} {
		if got := ask(row.query, row.agent, row.since).StatusCode; got != row.want {
			t.Errorf("%s: %d, want %d", row.says, got, row.want)
		}
	}
	if len(o.refused) != 3 || o.answers != 3 {
		t.Errorf("it counted %d answers and refused %q", o.answers, o.refused)
	}
	resp := ask(good, polite, "")
	if got := resp.Header.Get("Expires"); got != "Sat, 03 May 2031 03:40:00 GMT" {
		t.Errorf("it expires %s", got)
	}
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	b, err := feed.Parse("metno", strings.NewReader(string(body)), feed.Options{Zone: time.UTC, Station: "KOLMI"})
	if err != nil || len(b.Rejects) > 0 || len(b.Days) < 8 {
		t.Errorf("%d days, %v, %v", len(b.Days), b.Rejects, err)
	}
}

// The error of the mean over many forecasts is near none, its spread as said:
// the SD of 1.5 K on the first day, 4 K on the tenth; of 600 forecasts the
// spread is known within 3 %, so three standard errors are 10 %.
func TestTheForecastsErrorGrows(t *testing.T) {
	s := ourSky()
	const n = 600
	var squares [outlookDays]float64
	for i := range n {
		made := time.Date(seasonYear, 2, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(i) * 6 * time.Hour)
		for d, e := range s.errorsK(place{60, 24, 100}, made) {
			squares[d] += e * e
		}
	}
	for d, want := range map[int]float64{0: errorFirstK, outlookDays - 1: errorLastK} {
		if got := math.Sqrt(squares[d] / n); math.Abs(got/want-1) > 0.10 {
			t.Errorf("day %d: SD %.2f K, want %.2f", d+1, got, want)
		}
	}
}

// Without its error, a forecast's day has the mean of the true one, but for
// the line drawn between days: within 1 K.
func TestAForecastIsAboutTheTrueWeather(t *testing.T) {
	s := ourSky()
	p := place{60.8, 24.1, 126}
	made := time.Date(seasonYear, 5, 3, 0, 0, 0, 0, time.UTC)
	body, err := json.Marshal(s.outlook(p, made))
	if err != nil {
		t.Fatal(err)
	}
	b, err := feed.Parse("metno", strings.NewReader(string(body)), feed.Options{Zone: time.UTC, Station: "KOLMI"})
	if err != nil {
		t.Fatal(err)
	}
	e := s.errorsK(p, made)
	for _, d := range b.Days[:len(b.Days)-1] {
		truth := s.meanC(p, d.Date) + e[int(d.Date-civil.At(made))]
		if math.Abs(d.MeanC-truth) > 1.5 {
			t.Errorf("%s: forecast %.1f, truth with its error %.1f", d.Date, d.MeanC, truth)
		}
	}
}
