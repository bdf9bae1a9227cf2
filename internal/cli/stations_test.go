package cli_test

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/cli"
	"budcall/internal/feed"
)

// Whatever list feed learns to read, stations must know whose stations it
// names.
func TestEveryStationListIsUnderstood(t *testing.T) {
	for _, f := range feed.Formats() {
		if f.List && !slices.Contains(cli.ListNames(), f.Name) {
			t.Errorf("no provider and station format is named for the list %s", f.Name)
		}
	}
}

func TestCodesOfStations(t *testing.T) {
	used := map[string]bool{}
	for _, row := range []struct{ name, id, want string }{
		{"Kuusela kenttä", "1", "KUUSELA-KENTTA"},
		{"Kuusela, kenttä", "2", "KUUSELA-KENTTA-2"},
		{"ÅSGÅRD ØVRE", "3", "ASGARD-OVRE"},
		{"Straße (Süd)", "4", "STRASSE-SUD"},
		{"A very long name of a station", "5", "A-VERY-LONG-NAME"},
		{"A very long name of another", "6", "A-VERY-LONG-NA-2"},
		{"", "SN99:0", "STATION-SN99-0"},
		{"7", "00077", "STATION-00077"},
	} {
		if got := cli.StationCode(row.name, row.id, used); got != row.want {
			t.Errorf("%q: %s, not %s", row.name, got, row.want)
		}
	}
	form := regexp.MustCompile(`^[A-Z][A-Z0-9-]{1,15}$`) // of a station's code in the settings
	rapid.Check(t, func(t *rapid.T) {
		used := map[string]bool{}
		for range 5 {
			if got := cli.StationCode(rapid.String().Draw(t, "name"), rapid.StringMatching(`[A-Za-z0-9:]{1,12}`).Draw(t, "id"), used); !form.MatchString(got) {
				t.Fatalf("%q can't be a code", got)
			}
		}
		if len(used) != 5 {
			t.Fatalf("two stations have one code: %v", used)
		}
	})
}

// stationsJSON is what of the answer the tests look at.
type stationsJSON struct {
	Listed   int `json:"listed"`
	Stations []struct {
		ID         string  `json:"id"`
		DistanceKm float64 `json:"distance_km"`
		HigherM    float64 `json:"higher_m"`
		Advice     string  `json:"advice"`
	} `json:"stations"`
}

func near(t *testing.T, args ...string) (a stationsJSON) {
	t.Helper()
	var out, errs bytes.Buffer
	if got := cli.Run(context.Background(), append([]string{"stations", "--json"}, args...), cli.Streams{Out: &out, Err: &errs}); got != 0 {
		t.Fatalf("status %d: %s", got, &errs)
	}
	if err := json.Unmarshal(out.Bytes(), &a); err != nil {
		t.Fatal(err)
	}
	return a
}

// The same is asked of an invented list by script/stations.txt.
func TestStationsNearAPlaceInDWDsList(t *testing.T) {
	shared := os.Getenv("BUDCALL_SHARED")
	if shared == "" {
		shared = filepath.Join("..", "..", "..", "shared")
	}
	list := filepath.Join(shared, "feeds", "dwd-cdc-kl", "KL_Tageswerte_Beschreibung_Stationen.txt")
	if _, err := os.Stat(list); err != nil {
		t.Skipf("the real list isn't there (set BUDCALL_SHARED to where it is): %v", err)
	}
	got := near(t, "--near", "50.75,9.25", "--altitude", "310", "--list", "dwd-stations="+list, "--limit", "60")
	if got.Listed != 60 {
		t.Errorf("%d stations are listed, not 60 (lines of the file less two)", got.Listed)
	}
	if first := got.Stations[0]; first.ID != "00090" || first.Advice != "take" || first.HigherM != -5 {
		t.Errorf("the best is %+v, not Alsfeld (00090), 5 m lower", first)
	}
	// By the spherical law of cosines on 6371 km, computed apart from the
	// program: acos(sin φ₁ sin φ₂ + cos φ₁ cos φ₂ cos Δλ).
	want := map[string]float64{"00090": 0.862, "00091": 6.711, "00183": 519.721}
	for _, s := range got.Stations {
		if km, ok := want[s.ID]; ok && math.Abs(s.DistanceKm-km) > 0.002 {
			t.Errorf("%s is %.3f km away, not %.3f", s.ID, s.DistanceKm, km)
		}
	}
	for _, s := range got.Stations {
		if s.ID == "00001" && s.Advice != "past years only" {
			t.Errorf("Aach (until 1986) is %q", s.Advice)
		}
	}
}
