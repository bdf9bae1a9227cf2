package feed_test

import (
	"fmt"
	"maps"
	"math"
	"strings"
	"testing"
	"time"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

// Each row is a line of feeds/EXPECTED.txt, whose figures were counted without
// any parser of ours; the rows of the text formats stand in other tests.
func TestExpectedOfXMLAndJSON(t *testing.T) {
	utc := feed.Options{Zone: time.UTC}
	raw := feed.Options{ReadingsOnly: true}
	for _, row := range []struct {
		file, format string
		opt          feed.Options
		check        func(t *testing.T, b feed.Batch, body []byte)
	}{
		{"dwd-mosmix/MOSMIX_L_2019021903_10637.kml", "mosmix", raw, func(t *testing.T, b feed.Batch, body []byte) {
			hasSteps(t, b, 247, "2019-02-19T04:00:00Z", "2019-03-01T10:00:00Z", map[float64]int{1: 246})
			near(t, "first, 273.35 K", b.Readings[0].TempC, 0.2)
			near(t, "last, 278.95 K", b.Readings[246].TempC, 5.8)
			if minima, maxima, err := feed.MosmixExtremes(body); minima != 21 || maxima != 21 || err != nil {
				t.Errorf("TN %d, TX %d, %v", minima, maxima, err)
			}
		}},
		{"fmi-wfs/daily_simple_100946_2019-01.xml", "fmi", feed.Options{}, func(t *testing.T, b feed.Batch, _ []byte) {
			// rrday, snow and TG_PT12H_min, four each; no NaN in tday, tmin, tmax.
			counts(t, b, 0, 12)
			sameDays(t, "days", b.Days, []weather.Day{day("2019-01-01", 1.2, 5, 3.2), day("2019-01-02", -4.3, 1.5, -2.8), day("2019-01-03", -7.6, -4.1, -6), day("2019-01-04", -7.4, 2.7, 1.3)}) // read off the file
		}},
		{"fmi-wfs/hourly_simple_100946_2019-01-01.xml", "fmi", raw, func(t *testing.T, b feed.Batch, _ []byte) {
			hasSteps(t, b, 25, "2019-01-01T00:00:00Z", "2019-01-02T00:00:00Z", map[float64]int{1: 24})
			counts(t, b, 0, 25) // PRA_PT1H_ACC
			notes(t, b, "announces 300 members and holds 100")
		}},
		{"fmi-wfs/forecast_harmonie_multipoint_iisalmi.xml", "fmi", raw, func(t *testing.T, b feed.Batch, _ []byte) {
			hasSteps(t, b, 12, stamp(1663579200), stamp(1663585800), map[float64]int{1.0 / 6: 11})
			counts(t, b, 0, 240-12-2*12) // of 20 fields, two are wind
			near(t, "first, read off the file", b.Readings[0].TempC, 12.3)
		}},
		{"fmi-wfs/forecast_multipoint_all_nan.xml", "fmi", utc, func(t *testing.T, b feed.Batch, _ []byte) {
			hasSteps(t, b, 12, stamp(1664443200), stamp(1664449800), map[float64]int{1.0 / 6: 11})
			counts(t, b, 12, 252-12-2*12)
			notes(t, b, "every temperature is missing")
			sameDays(t, "days", b.Days, nil)
		}},
		{"fmi-wfs/observation_multipoint_by_place.xml", "fmi", raw, func(t *testing.T, b feed.Batch, _ []byte) {
			hasSteps(t, b, 2, stamp(1752591000), stamp(1752591600), map[float64]int{1.0 / 6: 1})
			counts(t, b, 0, 20-2-2*2)
			if b.Station != "101311" {
				t.Error(b.Station)
			}
		}},
		{"fmi-wfs/ef_stations_excerpt.xml", "fmi-stations", feed.Options{}, func(t *testing.T, b feed.Batch, _ []byte) {
			notes(t, b, "announces 436 stations and holds 3")
			if len(b.Stations) != 3 || b.Stations[2].Name != "Virolahti Koivuniemi Ääpälä" || b.Stations[0].First.String() != "1922-06-14" {
				t.Error(b.Stations)
			}
		}},
		{"metno-frost/sources_v0_Bergen.json", "frost-stations", feed.Options{}, func(t *testing.T, b feed.Batch, _ []byte) {
			if len(b.Stations) != 3 || len(b.Notes) != 0 || b.Stations[0].ID != "SN50540" || b.Stations[0].Place != (feed.Place{LatitudeDeg: 60.383, LongitudeDeg: 5.3327, AltitudeM: 12}) {
				t.Errorf("%+v %v", b.Stations, b.Notes)
			}
		}},
		{"metno-locationforecast/compact_39.9_116.4.json", "metno", raw, func(t *testing.T, b feed.Batch, body []byte) {
			hasSteps(t, b, 82, "2020-07-20T11:00:00Z", "2020-07-29T06:00:00Z", map[float64]int{1: 55, 6: 26})
			hasSum(t, b, 30.4, 37.6, 2339.2)
			if minima, maxima, err := feed.MetnoExtremes(body); minima != 0 || maxima != 0 || err != nil {
				t.Error(minima, maxima, err)
			}
		}},
		{"metno-locationforecast/complete_51.5_-0.1.json", "metno", raw, func(t *testing.T, b feed.Batch, body []byte) {
			hasSteps(t, b, 82, "2020-07-20T11:00:00Z", "2020-07-29T06:00:00Z", map[float64]int{1: 55, 6: 26})
			hasSum(t, b, 18.8, 17.4, 1437.1)
			if minima, maxima, err := feed.MetnoExtremes(body); minima != 76 || maxima != 76 || err != nil {
				t.Error(minima, maxima, err)
			}
		}},
		{"open-meteo/archive_bergen_mean_fahrenheit.json", "open-meteo", feed.Options{}, func(t *testing.T, b feed.Batch, _ []byte) {
			hasDays(t, b, "2025-01-15", "2025-01-17", "GMT", [3]bool{false, false, true})
		}},
		{"open-meteo/archive_oslo_maxmin.json", "open-meteo", feed.Options{}, func(t *testing.T, b feed.Batch, _ []byte) {
			hasDays(t, b, "2025-01-15", "2025-01-17", "GMT", [3]bool{true, true, false})
		}},
		{"open-meteo/archive_oslo_mean.json", "open-meteo", feed.Options{}, func(t *testing.T, b feed.Batch, _ []byte) {
			hasDays(t, b, "2025-01-15", "2025-01-17", "GMT", [3]bool{false, false, true})
		}},
		{"open-meteo/forecast_newyork_2026-02-06.json", "open-meteo", feed.Options{}, func(t *testing.T, b feed.Batch, _ []byte) {
			hasDays(t, b, "2026-02-06", "2026-02-12", "America/New_York", [3]bool{true, true, false})
		}},
		{"open-meteo/forecast_newyork_2026-02-06.json", "open-meteo", raw, func(t *testing.T, b feed.Batch, _ []byte) {
			// The first hour, 00:00 at offset -18000 s, is 05 UTC.
			if len(b.Readings) == 0 || b.Readings[0].At.UTC().Format(time.RFC3339) != "2026-02-06T05:00:00Z" {
				t.Error(b.Readings[:1])
			}
		}},
		{"smhi-forecast/snow1g_v1_norrkoping_2026-04-02.json", "smhi-forecast", raw, func(t *testing.T, b feed.Batch, _ []byte) {
			hasSteps(t, b, 83, "2026-04-02T11:00:00Z", "2026-04-12T12:00:00Z", map[float64]int{1: 59, 2: 1, 6: 14, 12: 8})
			hasSum(t, b, 10.4, 8.3, 412.1)
		}},
		{"smhi-metobs/param1_1_hourly_bom.csv", "smhi-metobs", raw, func(t *testing.T, b feed.Batch, _ []byte) {
			if len(b.Days) != 0 || len(b.Readings) != 2 || len(b.Rejects) != 0 {
				t.Errorf("%+v", b)
			}
		}},
		{"smhi-metobs/param2_71420_corrected-archive.csv", "smhi-metobs", feed.Options{}, func(t *testing.T, b feed.Batch, _ []byte) {
			hasDays(t, b, "1961-01-01", "2019-01-31", "UTC", [3]bool{false, false, true})
			count, sum := sums(b.Days)
			breaks := 0
			for i := 1; i < len(b.Days); i++ {
				if b.Days[i].Date != b.Days[i-1].Date+1 {
					breaks++
				}
			}
			absent := int(b.Days[len(b.Days)-1].Date-b.Days[0].Date) + 1 - len(b.Days)
			if count[2] != 203 || absent != 21012 || breaks != 3 || math.Abs(sum[2]-1101.6) > 1e-6 || b.Flags["quality Y"] != 203 || len(b.Flags) != 1 || len(b.Rejects) != 0 {
				t.Errorf("%d days, %d absent, %d breaks, sum %.4f, %v, %v", count[2], absent, breaks, sum[2], b.Flags, b.Rejects)
			}
		}},
	} {
		t.Run(row.format+" "+row.file, func(t *testing.T) {
			body := real(t, "feeds/"+row.file)
			row.check(t, parse(t, row.format, body, row.opt), body)
		})
	}
}

// The lines of feeds/EXPECTED.txt that hold nothing to read: refused by name.
func TestExpectedRefusals(t *testing.T) {
	for _, row := range []struct{ file, format, says string }{
		{"fmi-wfs/empty_unknown_station.xml", "fmi", "empty (numberReturned 0)"},
		{"fmi-wfs/exception_no_locations.xml", "fmi", "OperationParsingFailed: No locations found for the place with the requested language!"},
		{"fmi-wfs/meta_observableProperty.xml", "fmi", "CompositeObservableProperty"},
		{"fmi-wfs/ef_stations_excerpt.xml", "fmi", "list of stations"},
		{"metno-frost/observations_v0_precip_PT1H_SN50539.json", "frost", "sum(precipitation_amount PT1H) (precipitation)"},
		{"metno-frost/sources_v0_Bergen.json", "frost", "list of sources"},
		{"open-meteo/error_latitude.json", "open-meteo", "Latitude must be in range of -90 to 90°. Given: 200.0."},
		{"open-meteo/error_variable.json", "open-meteo", "Cannot initialize WeatherVariable from invalid String value tempeture_2m for key hourly"},
		{"smhi-forecast/RETIRED_pmp3g_v2_2025-01-20.json", "smhi-forecast", "pmp3g version 2, which was switched off on 2026-03-31"},
		{"smhi-metobs/param2_188800_latest-day_empty.csv", "smhi-metobs", "holds no value"},
	} {
		t.Run(row.file, func(t *testing.T) {
			refused(t, row.file, row.format, string(real(t, "feeds/"+row.file)), feed.Options{Zone: time.UTC}, row.says)
		})
	}
	for _, file := range []string{"api_data.http.txt", "api_periods.http.txt"} {
		t.Run(file, func(t *testing.T) {
			_, body, _ := strings.Cut(strings.ReplaceAll(string(real(t, "feeds/smhi-metobs/"+file)), "\r", ""), "\n\n")
			refused(t, file, "smhi-metobs", body, feed.Options{}, "SMHI's catalogue")
		})
	}
}

func stamp(epoch int64) string { return time.Unix(epoch, 0).UTC().Format(time.RFC3339) }

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-6 {
		t.Errorf("%s: %g, not %g", what, got, want)
	}
}

// hasSteps checks count, ends and step lengths in hours of the readings.
func hasSteps(t *testing.T, b feed.Batch, n int, first, last string, steps map[float64]int) {
	t.Helper()
	if len(b.Readings) != n {
		t.Fatalf("%d readings, not %d", len(b.Readings), n)
	}
	got := map[float64]int{}
	for i := 1; i < n; i++ {
		got[b.Readings[i].At.Sub(b.Readings[i-1].At).Hours()]++
	}
	if !maps.Equal(got, steps) {
		t.Errorf("steps %v, not %v", got, steps)
	}
	if f, l := b.Readings[0].At.UTC().Format(time.RFC3339), b.Readings[n-1].At.UTC().Format(time.RFC3339); f != first || l != last {
		t.Errorf("from %s to %s", f, l)
	}
	if len(b.Rejects) != 0 {
		t.Errorf("rejects %v", b.Rejects)
	}
}

func hasSum(t *testing.T, b feed.Batch, first, last, sum float64) {
	t.Helper()
	got := 0.0
	for _, r := range b.Readings {
		got += r.TempC
	}
	near(t, "first", b.Readings[0].TempC, first)
	near(t, "last", b.Readings[len(b.Readings)-1].TempC, last)
	near(t, "sum", got, sum)
}

// hasDays checks ends, zone, and which of minimum, maximum and mean every day has.
func hasDays(t *testing.T, b feed.Batch, first, last, zone string, has [3]bool) {
	t.Helper()
	if b.Days[0].Date.String() != first || b.Days[len(b.Days)-1].Date.String() != last || b.Window.Zone != zone || len(b.Rejects) != 0 {
		t.Errorf("%v in %s, %v", b.Days, b.Window, b.Rejects)
	}
	for _, d := range b.Days {
		if got := [3]bool{!math.IsNaN(d.MinC), !math.IsNaN(d.MaxC), !math.IsNaN(d.MeanC)}; got != has {
			t.Errorf("%v", d)
		}
	}
}

func counts(t *testing.T, b feed.Batch, missing, others int) {
	t.Helper()
	if b.MissingValues != missing || b.OtherRecords != others {
		t.Errorf("%d missing, %d others; want %d, %d", b.MissingValues, b.OtherRecords, missing, others)
	}
}

func notes(t *testing.T, b feed.Batch, part string) {
	t.Helper()
	if !strings.Contains(fmt.Sprint(b.Notes), part) {
		t.Errorf("%q is not in %q", part, b.Notes)
	}
}
