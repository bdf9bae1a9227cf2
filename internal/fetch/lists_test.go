package fetch_test

import (
	"slices"
	"strings"
	"testing"

	"budcall/internal/feed"
	"budcall/internal/fetch"
)

func TestWhereStationListsAre(t *testing.T) {
	// From the reference of each provider; GHCN's beside its stations.
	for format, want := range map[string]string{
		"dwd-stations":         "https://opendata.dwd.de/climate_environment/CDC/observations_germany/climate/daily/kl/recent/KL_Tageswerte_Beschreibung_Stationen.txt",
		"fmi-stations":         "https://opendata.fmi.fi/wfs?service=WFS&version=2.0.0&request=getFeature&storedquery_id=fmi::ef::stations",
		"frost-stations":       "https://frost.met.no/sources/v0.jsonld?types=SensorSystem",
		"ghcn-inventory":       "https://www.ncei.noaa.gov/pub/data/ghcn/daily/ghcnd-inventory.txt",
		"ghcn-stations":        "https://www.ncei.noaa.gov/pub/data/ghcn/daily/ghcnd-stations.txt",
		"meteoswiss-inventory": "https://data.geo.admin.ch/ch.meteoschweiz.ogd-smn/ogd-smn_meta_datainventory.csv",
		"meteoswiss-stations":  "https://data.geo.admin.ch/ch.meteoschweiz.ogd-smn/ogd-smn_meta_stations.csv",
		"smhi-stations":        "https://opendata-download-metobs.smhi.se/api/version/1.0/parameter/2.json",
	} {
		l, err := fetch.ListOf(format, "")
		if err != nil || l.URL != want || l.Keyed != (format == "frost-stations") || l.Rules.Interval <= 0 {
			t.Errorf("%s: %+v %v", format, l, err)
		}
		if l, _ := fetch.ListOf(format, "https://peer.example/"); !strings.HasPrefix(l.URL, "https://peer.example") || strings.Contains(l.URL, "example//") {
			t.Errorf("%s elsewhere: %s", format, l.URL)
		}
	}
	for _, format := range fetch.ListFormats() {
		if !slices.ContainsFunc(feed.Formats(), func(f feed.Format) bool { return f.List && f.Name == format }) {
			t.Errorf("%s is fetched, and nothing reads it", format)
		}
	}
	if _, err := fetch.ListOf("ecad-stations", ""); err == nil || !strings.Contains(err.Error(), "write one of dwd-stations") {
		t.Error(err)
	}
}
