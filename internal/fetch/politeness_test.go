package fetch_test

import (
	"context"
	"errors"
	"math"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"budcall/internal/fetch"
)

func TestADayWithMetNorwayBreaksNoRule(t *testing.T) {
	c := newClock()
	m := &metNorway{clock: c, lastModified: c.Now().Add(-2 * time.Hour), expires: map[string]time.Time{}}
	server := httptest.NewServer(m)
	defer server.Close()
	get, _ := client(t, c)
	address, err := fetch.MetNorwayURL(server.URL+"/weatherapi/locationforecast/2.0/complete", 61.123456789, 24.98765, 143.4)
	if err != nil {
		t.Fatal(err)
	}

	req := fetch.Request{URL: address, Source: "met"}
	asked, notModified, notYet := 0, 0, 0
	for range 24 * 6 { // every ten minutes for a day
		resp, err := get.Get(t.Context(), req)
		var e *fetch.Error
		switch {
		case errors.Is(err, fetch.ErrNotYet):
			if !errors.As(err, &e) || !e.RetryAfter.Equal(req.Expires) || !e.Temporary {
				t.Fatalf("the time to come back is not told: %v", err)
			}
			notYet++
		case err != nil:
			t.Fatal(err)
		case resp.NotModified:
			if len(resp.Body) != 0 {
				t.Error("304 with a body")
			}
			notModified++
		default:
			if string(resp.Body) != invented {
				t.Errorf("body %q: gzip was not unpacked", resp.Body)
			}
			asked++
		}
		if err == nil {
			req.Expires, req.IfModifiedSince = resp.Expires, resp.LastModified
		}
		c.Add(10 * time.Minute)
		m.mu.Lock()
		if c.Now().Hour() == 18 {
			m.lastModified = time.Date(2031, 5, 3, 17, 59, 0, 0, time.UTC)
		}
		m.mu.Unlock()
	}
	if len(m.violations) > 0 {
		t.Errorf("%d requests, rules broken: %v", m.requests, m.violations)
	}
	// Expires is 31 minutes away, so one in four slots of ten minutes asks:
	// 144/4 = 36 requests, of which the first and the one after 18:00 give a
	// body (computed by hand).
	if m.requests != 36 || asked != 2 || notModified != 34 || notYet != 108 {
		t.Errorf("%d requests: %d bodies, %d not modified, %d not asked", m.requests, asked, notModified, notYet)
	}
	if m.modifiedSent[0] != "" || m.modifiedSent[1] != "Sat, 03 May 2031 04:10:00 GMT" {
		t.Errorf("If-Modified-Since is not verbatim: %q", m.modifiedSent[:2])
	}
}

// TestThePeerNoticesBadManners shows that the server of the test above would
// have noticed.
func TestThePeerNoticesBadManners(t *testing.T) {
	c := newClock()
	m := &metNorway{clock: c, expires: map[string]time.Time{}}
	server := httptest.NewServer(m)
	defer server.Close()
	if resp, err := http.Get(server.URL); err != nil || resp.StatusCode != http.StatusForbidden {
		t.Errorf("a generic User-Agent was served: %v %v", resp, err)
	}
	get, _ := client(t, c)
	_, err := get.Get(t.Context(), fetch.Request{URL: server.URL + "?lat=61.12345&lon=24"})
	if !errors.Is(err, fetch.ErrForbidden) {
		t.Errorf("five decimals were served: %v", err)
	}
	for range 2 { // without remembering Expires
		if _, err := get.Get(t.Context(), fetch.Request{URL: server.URL}); err != nil {
			t.Error(err)
		}
	}
	if len(m.violations) != 3 {
		t.Errorf("noticed: %v", m.violations)
	}
}

func TestOnlyAClientThatNamesAContactIsMade(t *testing.T) {
	for _, bad := range []string{"", "budcall", "Mozilla/5.0", "budcall/0.1 (+)", "budcall/0.1 (+a@b.example)\r\nX: y"} {
		if _, err := fetch.New(fetch.Options{UserAgent: bad}); err == nil || !strings.Contains(err.Error(), "contact") {
			t.Errorf("%q: %v", bad, err)
		}
	}
	for _, contact := range []string{"season@birch-programme.example", "https://birch-programme.example/budcall"} {
		agent, err := fetch.UserAgent("0.1", contact)
		if err != nil || agent != "budcall/0.1 (+"+contact+")" {
			t.Errorf("%q %v", agent, err)
		}
	}
	if _, err := fetch.UserAgent("0.1", "nobody"); err == nil {
		t.Error("a contact that reaches nobody was taken")
	}
}

func TestAPlaceIsToldToFourDecimals(t *testing.T) {
	for _, row := range []struct {
		lat, lon, altitude float64
		want               string
	}{
		{61.123456789, 24.98769, 143.4, "altitude=143&lat=61.1234&lon=24.9876"}, // cut, not rounded
		{59.1234, 5, 0, "altitude=0&lat=59.1234&lon=5"},
		{-0.00001, -33.5, math.NaN(), "lat=0&lon=-33.5"},
		{1e-7, 100, 99.5, "altitude=100&lat=0&lon=100"},
	} {
		got, err := fetch.MetNorwayURL(fetch.MetNorwayComplete, row.lat, row.lon, row.altitude)
		if err != nil || got != fetch.MetNorwayComplete+"?"+row.want {
			t.Errorf("%v: %s %v", row, got, err)
		}
	}
	for _, bad := range [][2]float64{{91, 0}, {0, 181}, {math.NaN(), 0}, {0, math.Inf(1)}} {
		if _, err := fetch.MetNorwayURL(fetch.MetNorwayComplete, bad[0], bad[1], 0); err == nil {
			t.Errorf("%v is a place", bad)
		}
	}
	if _, err := fetch.MetNorwayURL("complete", 61, 24, 0); err == nil {
		t.Error("an address without a host was taken")
	}
}

func TestAHostThatWantsToBeLeftAloneIs(t *testing.T) {
	c := newClock()
	requests := 0
	server := serve(t, func(w http.ResponseWriter, r *http.Request) {
		requests++
		w.Header().Set("Retry-After", "1800")
		w.WriteHeader(http.StatusTooManyRequests)
	})
	get, _ := client(t, c)
	want := c.Now().Add(30 * time.Minute)
	_, err := get.Get(t.Context(), fetch.Request{URL: server + "/a", Source: "met"})
	var e *fetch.Error
	if !errors.As(err, &e) || !e.Temporary || !e.RetryAfter.Equal(want) || !errors.Is(err, fetch.ErrSlowDown) || e.Status != 429 {
		t.Fatalf("%+v", err)
	}
	_, err = get.Get(t.Context(), fetch.Request{URL: server + "/b"})
	if !errors.Is(err, fetch.ErrNotYet) || !errors.As(err, &e) || !e.RetryAfter.Equal(want) {
		t.Errorf("another address of the host was asked: %v", err)
	}
	if requests != 1 {
		t.Errorf("%d requests", requests)
	}
	c.Add(30 * time.Minute)
	get.Get(t.Context(), fetch.Request{URL: server + "/b"})
	if requests != 2 {
		t.Errorf("not asked again after the time: %d requests", requests)
	}
}

func TestRequestsToOneHostKeepTheirDistance(t *testing.T) {
	c := newClock()
	var at []time.Time
	server := serve(t, func(w http.ResponseWriter, r *http.Request) { at = append(at, c.Now()) })
	get, _ := client(t, c)
	for range 3 {
		if _, err := get.Get(context.Background(), fetch.Request{URL: server}); err != nil {
			t.Fatal(err)
		}
	}
	if at[1].Sub(at[0]) != 100*time.Millisecond || at[2].Sub(at[1]) != 100*time.Millisecond {
		t.Errorf("%v", at)
	}
}
