package app

import (
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"budcall/internal/config"
	"budcall/internal/feed"
	"budcall/internal/fetch"
	"budcall/internal/pull"
	"budcall/internal/weather"
)

// provider is a peer on this machine that answers as a weather service does,
// with one of our own files of its format, and has its troubles on demand.
type provider struct {
	format, file string
	id           string // of the station; asked by place: none
	address      string // part of what it must be asked for
	key          string // the user or parameter without which it refuses
	lacks        string // part of an address where nothing is

	mu    sync.Mutex
	fault string
	asked int
	wrong []string
}

// providers are those that are asked for a station.
func providers() []*provider {
	return []*provider{
		{format: "fmi", file: "clean.xml", id: "990", address: "?service=WFS&version=2.0.0&request=getFeature&storedquery_id=fmi%3A%3Aobservations%3A%3Aweather%3A%3Adaily%3A%3Asimple&fmisid=990&"},
		{format: "smhi-metobs", file: "clean.csv", id: "990010", address: "/station/990010/period/latest-months/data.csv", lacks: "/parameter/20/"},
		{format: "frost", file: "clean.json", id: "SN99010", address: "/observations/v0.jsonld?sources=SN99010&referencetime=2031-", key: "a-client-id"},
		{format: "open-meteo", file: "clean.json", address: "?latitude=60.3&longitude=24.9999&daily=", key: "a-client-id"},
		{format: "dwd-daily", file: "clean.txt", id: "77", address: "/recent/tageswerte_KL_00077_akt.zip"},
		{format: "knmi", file: "clean.txt", id: "999", address: "/etmgeg_999.zip"},
		{format: "meteoswiss", file: "clean.csv", id: "ZZZ", address: "/zzz/ogd-smn_zzz_d_recent.csv"},
		{format: "ghcn-daily", file: "invented.dly", id: "ZZX00000001", address: "/ZZX00000001.dly"},
		{format: "ghcn-csv", file: "clean.csv", id: "ZZE00000001", address: "/ZZE00000001.csv.gz"},
		{format: "ghcn-access", file: "clean.csv", id: "ZZE00000001", address: "/ZZE00000001.csv"},
		{format: "eccc", file: "clean.csv", id: "990", address: "stationID=990&Year=2031&"}, // the files have another id
	}
}

func (p *provider) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.asked++
	user, _, _ := r.BasicAuth()
	if !strings.Contains(r.URL.String(), p.address) || !strings.Contains(r.UserAgent(), "ops@birches.example") || user+r.URL.Query().Get("apikey") != p.key {
		p.wrong = append(p.wrong, r.URL.String()+" "+r.UserAgent())
		http.Error(w, "not as we want it", http.StatusForbidden)
		return
	}
	body, err := os.ReadFile(filepath.Join("..", "..", "testdata", "feeds", p.format, p.file))
	if err != nil {
		http.Error(w, err.Error(), http.StatusTeapot)
		return
	}
	if p.lacks != "" && strings.Contains(r.URL.Path, p.lacks) {
		http.NotFound(w, r)
		return
	}
	respond(w, r, p.fault, body)
}

// exceptionReport is how a WFS refuses, with status 200.
const exceptionReport = `<?xml version="1.0"?><ExceptionReport xmlns="http://www.opengis.net/ows/1.1" version="2.0.0"><Exception exceptionCode="OperationParsingFailed"><ExceptionText>Invalid fmisid 990 in /wfs?apikey=a-client-id</ExceptionText></Exception></ExceptionReport>`

// respond gives the body, or what a fault makes of it.
func respond(w http.ResponseWriter, r *http.Request, fault string, body []byte) {
	switch fault {
	case "HTML for data":
		w.Header().Set("Content-Type", "text/html")
		fmt.Fprint(w, "<!DOCTYPE html><html><body>We are moving house</body></html>")
	case "an exception report with 200":
		fmt.Fprint(w, exceptionReport)
	case "truncated":
		w.Header().Set("Content-Length", fmt.Sprint(len(body)))
		w.Write(body[:len(body)/2])
	case "429":
		w.Header().Set("Retry-After", "7200")
		w.WriteHeader(http.StatusTooManyRequests)
	case "nothing of these days":
		w.Header().Set("Content-Type", "application/json")
		w.WriteHeader(http.StatusPreconditionFailed)
		fmt.Fprint(w, `{"@type":"ErrorResponse","error":{"code":412,"message":"No time series found"}}`)
	case "503 for hours":
		w.WriteHeader(http.StatusServiceUnavailable)
	case "redirect to elsewhere":
		http.Redirect(w, r, "https://10.0.0.1/secrets", http.StatusFound)
	case "changed layout":
		fmt.Fprint(w, "when|what|how much\n2031-05-01|warmth|plenty\n")
	case "slow drip":
		for w.(http.Flusher).Flush(); r.Context().Err() == nil; w.(http.Flusher).Flush() {
			fmt.Fprint(w, " ") // until the other side has had enough
			select {
			case <-r.Context().Done():
			case <-time.After(10 * time.Millisecond):
			}
		}
	case "a bomb":
		w.Header().Set("Content-Encoding", "gzip")
		w.Write(bomb())
	case "pages", "pages without end", "pages elsewhere":
		writePage(w, r, fault, body)
	default:
		w.Write(body)
	}
}

// remembered is a memory of sources and hauls.
type remembered struct {
	mu      sync.Mutex
	sources map[string]weather.Source
	hauls   map[string][]weather.Haul
}

func (m *remembered) Source(_ context.Context, name string) (weather.Source, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	s := m.sources[name]
	s.Name = name
	return s, nil
}

func (m *remembered) StoreHaul(_ context.Context, _ int64, h weather.Haul) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.sources[h.Source.Name] = h.Source
	m.hauls[h.Source.Name] = append(m.hauls[h.Source.Name], h)
	return nil
}

// providersRig is every provider with a station, and the job that asks them.
type providersRig struct {
	job    *pull.Job
	memory *remembered
	works  *works
	peers  []*provider
	now    time.Time
	said   strings.Builder // logs and troubles
}

func newProvidersRig(t *testing.T) *providersRig {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "key"), []byte("a-client-id\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	rig := &providersRig{peers: providers(), now: time.Date(2031, 6, 9, 6, 10, 0, 0, time.UTC), memory: &remembered{sources: map[string]weather.Source{}, hauls: map[string][]weather.Haul{}}}
	prog := &config.Programme{Zone: time.UTC, RawCopyDays: 800}
	for _, p := range rig.peers {
		server := httptest.NewServer(p)
		t.Cleanup(server.Close)
		st := config.Station{Code: strings.ToUpper(p.format), Format: p.format, Served: true, Service: server.URL, ID: p.id, LatDeg: 60.3, LonDeg: 24.99999}
		if p.key != "" {
			st.KeyFile = "key"
		}
		prog.Stations = append(prog.Stations, st)
	}
	rig.works = &works{programme: func() *config.Programme { return prog }, dir: dir}
	log := slog.New(slog.NewTextHandler(&rig.said, nil))
	client, err := fetch.New(fetch.Options{
		UserAgent: "budcall/0.1 (+mailto:ops@birches.example)", Logger: log, Now: func() time.Time { return rig.now },
		Sleep:      func(ctx context.Context, _ time.Duration) error { return ctx.Err() },
		AllowCIDRs: []netip.Prefix{netip.MustParsePrefix("127.0.0.1/32")}, Timeout: 10 * time.Second, MaxBytes: 1 << 20, Seed: 1,
	})
	if err != nil {
		t.Fatal(err)
	}
	rig.job = &pull.Job{
		Memory: rig.memory, Fetcher: &fetcher{client: client, secrets: &secrets{dir: dir}, hasty: true}, Logger: log,
		Trouble: func(_ context.Context, subject, text string) error { rig.said.WriteString(text + "\n"); return nil },
		Over:    func(context.Context, string) error { return nil },
	}
	return rig
}

// pull asks every station, and gives what each brought.
func (rig *providersRig) pull(t *testing.T) map[string]weather.Haul {
	t.Helper()
	out := map[string]weather.Haul{}
	for _, st := range rig.works.programme().Stations {
		order, ok := rig.works.order(piece("station:"+st.Code, rig.now))
		if !ok {
			t.Fatalf("%s isn't asked", st.Code)
		}
		if err := rig.job.Do(t.Context(), order); err != nil {
			t.Fatalf("%s: %v", st.Code, err)
		}
		all := rig.memory.hauls["station:"+st.Code]
		out[st.Format] = all[len(all)-1]
	}
	return out
}

func TestEveryProviderIsAskedAsItWants(t *testing.T) {
	rig := newProvidersRig(t)
	hauls := rig.pull(t)
	for _, p := range rig.peers {
		h := hauls[p.format]
		if len(p.wrong) > 0 || h.Error != "" || len(h.Days) == 0 || len(h.Body) == 0 || h.ForgetRawBefore.IsZero() {
			t.Errorf("%s: %d days, %q, refused %q", p.format, len(h.Days), h.Error, p.wrong)
		}
	}
	if got, want := len(hauls), len(fetch.Served()); got != want {
		t.Errorf("%d of %d providers were asked", got, want)
	}
	if strings.Contains(rig.said.String(), "a-client-id") {
		t.Errorf("the key was said:\n%s", &rig.said)
	}
}

func TestAProvidersTroubleIsItsOwn(t *testing.T) {
	t.Parallel() // a slow drip is waited for
	rig := newProvidersRig(t)
	for i, fault := range []string{
		"HTML for data", "an exception report with 200", "truncated", "429", "503 for hours", "redirect to elsewhere", "changed layout", "slow drip", "a bomb",
	} {
		for _, sick := range []int{i % len(rig.peers), (i + 4) % len(rig.peers)} { // two of them, in turn
			rig.now = rig.now.Add(5 * time.Hour) // whoever wanted to be left alone has been
			p := rig.peers[sick]
			p.fault = fault
			before := rig.memory.sources["station:"+strings.ToUpper(p.format)]
			hauls := rig.pull(t)
			p.fault = ""
			for format, h := range hauls {
				if format != p.format && h.Error != "" {
					t.Errorf("%s at %s: %s says %q", fault, p.format, format, h.Error)
				}
			}
			h := hauls[p.format]
			if h.Error == "" || len(h.Days)+len(h.Body) > 0 || h.Source.Failures != before.Failures+1 || !h.RetryAt.After(rig.now) || h.Source.Newest != before.Newest {
				t.Errorf("%s at %s: %q, %d days, %d failures, again at %s", fault, p.format, h.Error, len(h.Days), h.Source.Failures, h.RetryAt)
			}
			rig.now = rig.now.Add(5 * time.Hour)
			if h := rig.pull(t)[p.format]; h.Error != "" || h.Source.Failures != 0 {
				t.Errorf("after %s at %s: %q", fault, p.format, h.Error)
			}
		}
	}
	if strings.Contains(rig.said.String(), "a-client-id") {
		t.Errorf("the key was said:\n%s", &rig.said)
	}
}

func TestAServiceThatIsDownForHoursIsAskedLessAndLess(t *testing.T) {
	rig := newProvidersRig(t)
	p := rig.peers[1]
	p.fault = "503 for hours"
	until := rig.now.Add(12 * time.Hour)
	order, _ := rig.works.order(piece("station:SMHI-METOBS", rig.now))
	askings := 0
	for rig.now.Before(until) {
		order.Now = rig.now
		if err := rig.job.Do(t.Context(), order); err != nil {
			t.Fatal(err)
		}
		askings++
		all := rig.memory.hauls["station:SMHI-METOBS"]
		rig.now = all[len(all)-1].RetryAt
	}
	// 10, 20, 40, 80, 160 minutes, then 180, each up to a quarter more: 310 to 387 minutes for five, two or three more to 720.
	if askings < 7 || askings > 8 || p.asked != 3*askings {
		t.Errorf("%d askings, %d requests in 12 hours", askings, p.asked)
	}
	if said := rig.said.String(); !strings.Contains(said, "station:SMHI-METOBS: ") || !strings.Contains(said, "the server has trouble") {
		t.Errorf("the ops person is told %s", said)
	}
}

// The formats that a station may be of are those that can be read and are no
// lists and no forecasts.
func TestTheSettingsKnowTheFormats(t *testing.T) {
	known := append(config.StationFormats(), config.ForecastFormats()...)
	slices.Sort(known)
	var readable []string
	for _, f := range feed.Formats() {
		if !f.List {
			readable = append(readable, f.Name)
		}
	}
	slices.Sort(readable)
	if !slices.Equal(known, readable) {
		t.Errorf("settings know\n%v\nread are\n%v", known, readable)
	}
	for _, name := range fetch.Served() {
		if !slices.Contains(config.StationFormats(), name) {
			t.Errorf("%s is asked and no setting names it", name)
		}
	}
}

func TestWhereForecastsAreAskedFor(t *testing.T) {
	site := config.Site{LatDeg: 61.123456, LonDeg: 24.98765, AltitudeM: 143}
	for _, row := range []struct {
		forecast config.Forecast
		want     string
	}{
		{config.Forecast{Format: "metno", URL: "https://a.example/complete"}, "https://a.example/complete?altitude=143&lat=61.1234&lon=24.9876"},
		{config.Forecast{Format: "smhi-forecast", URL: "https://a.example"}, "https://a.example/api/category/snow1g/version/1/geotype/point/lon/24.9876/lat/61.1234/data.json"},
		{config.Forecast{Format: "mosmix", ID: "N4333", URL: "https://a.example/MOSMIX_L"}, "https://a.example/MOSMIX_L/single_stations/N4333/kml/MOSMIX_L_LATEST_N4333.kmz"},
	} {
		if got, err := forecastURL(row.forecast, site); err != nil || got != row.want {
			t.Errorf("%s: %s %v", row.forecast.Format, got, err)
		}
	}
	if _, err := forecastURL(config.Forecast{Format: "mosmix", ID: "../x", URL: "https://a.example"}, site); err == nil {
		t.Error("an id that is a path was taken")
	}
}
