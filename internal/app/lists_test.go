package app_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"budcall/internal/app"
	"budcall/internal/fetch"
)

// listPeer answers as the providers do with their lists: our invented ones.
type listPeer struct {
	asked []string          // paths, with what was sent along
	wrong map[string]string // by path: what is said instead
}

func (p *listPeer) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	said := r.URL.Path
	if r.URL.Path == "/" || r.URL.Path == "" {
		said = r.URL.Query().Get("storedquery_id")
	}
	if !strings.Contains(r.UserAgent(), "people@example.org") {
		http.Error(w, "who are you", http.StatusForbidden)
		return
	}
	file := map[string]string{
		"/recent/KL_Tageswerte_Beschreibung_Stationen.txt": "dwd-stations/clean.txt",
		"fmi::ef::stations": "fmi-stations/clean.xml", "/sources/v0.jsonld": "frost-stations/clean.json",
		"/ghcnd-inventory.txt": "ghcn-inventory/clean.txt", "/ghcnd-stations.txt": "ghcn-stations/clean.txt",
		"/ogd-smn_meta_datainventory.csv": "meteoswiss-inventory/clean.csv", "/ogd-smn_meta_stations.csv": "meteoswiss-stations/clean.csv",
		"/parameter/2.json": "smhi-stations/clean.json",
	}[said]
	body, err := os.ReadFile(filepath.Join("..", "..", "testdata", "feeds", filepath.FromSlash(file)))
	if err != nil || file == "" {
		http.NotFound(w, r)
		return
	}
	if user, _, ok := r.BasicAuth(); ok {
		said += " key " + user
	}
	tag := fmt.Sprintf(`"%d"`, len(body))
	if r.Header.Get("If-None-Match") == tag {
		p.asked = append(p.asked, said+" unchanged")
		w.WriteHeader(http.StatusNotModified)
		return
	}
	p.asked = append(p.asked, said)
	if other, ok := p.wrong[r.URL.Path]; ok {
		body = []byte(other)
	}
	w.Header().Set("ETag", tag)
	w.Write(body)
}

// fetchLists fetches all lists at a moment and gives a line for each.
func fetchLists(t *testing.T, f app.ListFolder, url string, at time.Time) (lines []string) {
	t.Helper()
	from, err := fetch.New(fetch.Options{
		UserAgent: "budcall/test (+people@example.org)", AllowCIDRs: []netip.Prefix{netip.MustParsePrefix("127.0.0.0/8")},
		Now: func() time.Time { return at }, Sleep: func(_ context.Context, _ time.Duration) error { return nil },
	})
	if err != nil {
		t.Fatal(err)
	}
	f.Base, f.Now = url, func() time.Time { return at }
	err = f.Fetch(t.Context(), from, func(l app.FetchedList) {
		said := l.How
		if l.Err != nil {
			said = "error " + l.Err.Error()
		}
		lines = append(lines, fmt.Sprintf("%s: %d of %s, %s", l.Format, l.Stations, l.At.Format(time.DateOnly), said))
	})
	if err != nil {
		lines = append(lines, err.Error())
	}
	return lines
}

func TestStationListsAreFetchedOnceADayAndOnlyWhatChanged(t *testing.T) {
	p := &listPeer{wrong: map[string]string{}}
	s := httptest.NewServer(p)
	defer s.Close()
	f := app.ListFolder{Dir: filepath.Join(t.TempDir(), "lists")}
	day := time.Date(2031, 5, 4, 6, 0, 0, 0, time.UTC)
	has := func(lines []string, want ...string) {
		t.Helper()
		for _, w := range want {
			if !slices.ContainsFunc(lines, func(l string) bool { return strings.Contains(l, w) }) {
				t.Errorf("%q isn't in %q", w, lines)
			}
		}
	}
	lines := fetchLists(t, f, s.URL, day)
	has(lines, "ghcn-inventory: 2 of 2031-05-04, fetched", "meteoswiss-stations: 2 of 2031-05-04, fetched", "frost-stations: 0 of 0001-01-01, left out: it wants a key")
	if len(p.asked) != len(fetch.ListFormats())-1 {
		t.Errorf("asked %q", p.asked)
	}
	kept, err := os.ReadFile(filepath.Join(f.Dir, "ghcn-inventory.gz"))
	if err != nil {
		t.Fatal(err)
	}
	if z, err := gzip.NewReader(bytes.NewReader(kept)); err != nil {
		t.Error(err, z)
	}
	p.asked = nil
	has(fetchLists(t, f, s.URL, day.Add(23*time.Hour)), "fmi-stations: 2 of 2031-05-04, not to be asked again yet")
	if len(p.asked) != 0 {
		t.Errorf("asked again within a day: %q", p.asked)
	}
	f.Key = "our-id"
	has(fetchLists(t, f, s.URL, day.Add(25*time.Hour)), "ghcn-stations: 2 of 2031-05-04, unchanged", "frost-stations: 2 of 2031-05-05, fetched")
	has(p.asked, "/ghcnd-stations.txt unchanged", "/sources/v0.jsonld key our-id")
	if slices.ContainsFunc(p.asked, func(a string) bool { return strings.Contains(a, "ghcnd") && strings.Contains(a, "key") }) {
		t.Errorf("the key went to another provider: %q", p.asked)
	}

	// What can't be read never takes the place of what can.
	p.wrong["/ghcnd-stations.txt"] = "<html>maintenance</html>"
	os.Remove(filepath.Join(f.Dir, "fmi-stations.gz")) // remembered, and gone: fetched anew
	known, err := os.ReadFile(filepath.Join(f.Dir, "lists.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(f.Dir, "lists.json"), bytes.ReplaceAll(known, []byte(`"etag"`), []byte(`"was"`)), 0o644); err != nil {
		t.Fatal(err)
	}
	has(fetchLists(t, f, s.URL, day.Add(60*time.Hour)), "ghcn-stations: 2 of 2031-05-04, error ghcn-stations: what came is no such list", "fmi-stations: 2 of 2031-05-06, fetched")
	at, err := f.Known()
	if err != nil || !at["ghcn-stations"].Equal(day) {
		t.Errorf("%v %v", at, err)
	}
}

func TestNoListAtAllIsAnError(t *testing.T) {
	s := httptest.NewServer(http.NotFoundHandler())
	defer s.Close()
	lines := fetchLists(t, app.ListFolder{Dir: t.TempDir()}, s.URL, time.Date(2031, 5, 4, 6, 0, 0, 0, time.UTC))
	if !strings.Contains(strings.Join(lines, "\n"), "no list was fetched") {
		t.Errorf("%q", lines)
	}
}
