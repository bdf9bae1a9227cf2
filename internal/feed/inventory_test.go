package feed_test

import (
	"fmt"
	"math"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/feed"
)

// ghcnLine makes a line of GHCN's inventory.
func ghcnLine(element string, first, last int) string {
	return fmt.Sprintf("%-11s %8.4f %9.4f %s %4d %4d\n", "ZZE00000001", 61.25, 25.5, element, first, last)
}

func TestYearsOfGHCNsInventory(t *testing.T) {
	for _, row := range []struct {
		name        string
		lines       string
		first, last int // 0: no temperature
	}{
		{"a day's temperature needs both extremes", ghcnLine("TMAX", 1959, 2031) + ghcnLine("TMIN", 1961, 2030), 1961, 2030},
		{"or the mean", ghcnLine("TAVG", 1990, 2031), 1990, 2031},
		{"of extremes and mean what goes on longer", ghcnLine("TMAX", 1901, 1950) + ghcnLine("TMIN", 1901, 1950) + ghcnLine("TAVG", 1990, 2031), 1901, 1950},
		{"one extreme is no temperature", ghcnLine("TMAX", 1959, 2031) + ghcnLine("PRCP", 1959, 2031), 0, 0},
		{"nor are two that were never there together", ghcnLine("TMAX", 1901, 1910) + ghcnLine("TMIN", 1920, 1930), 0, 0},
		{"rain is none", ghcnLine("PRCP", 1959, 2031), 0, 0},
	} {
		b := parse(t, "ghcn-inventory", []byte(row.lines), feed.Options{})
		s := b.Stations[0]
		measures := feed.MeasuresOther
		if row.first > 0 {
			measures = feed.MeasuresTemperature
		}
		if len(b.Stations) != 1 || s.Measures != measures || row.first > 0 && (s.First.Year() != row.first || s.Last.Year() != row.last) {
			t.Errorf("%s: %+v", row.name, b.Stations)
		}
	}
}

func TestGHCNInventoryFiles(t *testing.T) {
	b := parse(t, "ghcn-inventory", sample(t, "ghcn-inventory/clean.txt"), feed.Options{})
	if len(b.Stations) != 2 || b.Stations[0].Place.LatitudeDeg != 61.25 || !math.IsNaN(b.Stations[0].Place.AltitudeM) || b.Stations[1].Measures != feed.MeasuresOther {
		t.Errorf("%+v", b.Stations)
	}
	b = parse(t, "ghcn-inventory", sample(t, "ghcn-inventory/dirty.txt"), feed.Options{})
	sameRejects(t, b.Rejects, map[int]string{3: "has 40 characters, not 45", 4: "no first and last year", 5: "no id and element"})
	b = parse(t, "ghcn-inventory", sample(t, "ghcn-inventory/edge.txt"), feed.Options{})
	if len(b.Rejects) != 0 || len(b.Stations) != 3 || b.Stations[0].Measures != feed.MeasuresOther || b.Stations[1].First != civil.Of(1, 1, 1) {
		t.Errorf("%+v %v", b.Stations, b.Rejects)
	}
	refused(t, "days", "ghcn-inventory", "ZZX00000001,20310401,TMAX,112,,,S,\n", feed.Options{}, "line 1", "use ghcnd-inventory.txt")
}

func TestMeteoSwissLists(t *testing.T) {
	b := parse(t, "meteoswiss-stations", sample(t, "meteoswiss-stations/clean.csv"), feed.Options{})
	want := feed.StationEntry{ID: "ZZA", Name: "Erfundenes Dörfli", Region: "ZZ", Place: feed.Place{LatitudeDeg: 46.5, LongitudeDeg: 9.75, AltitudeM: 1804}, First: civil.Of(1863, 12, 1)}
	if len(b.Stations) != 2 || b.Stations[0] != want || b.Stations[1].Name != "Vallée-l'Inventée" || len(b.Rejects) != 0 {
		t.Errorf("%+v %v", b.Stations, b.Rejects)
	}
	b = parse(t, "meteoswiss-stations", sample(t, "meteoswiss-stations/dirty.csv"), feed.Options{})
	sameRejects(t, b.Rejects, map[int]string{2: "no abbreviation", 3: "no place", 4: `"hoch" is no height`, 5: "no day dd.mm.yyyy", 7: "stands in line 6 already", 8: "no place on earth", 9: "fields of at least"})
	b = parse(t, "meteoswiss-stations", sample(t, "meteoswiss-stations/edge.csv"), feed.Options{})
	if len(b.Stations) != 2 || !math.IsNaN(b.Stations[0].Place.AltitudeM) || !b.Stations[0].First.IsZero() || len(b.Rejects) != 0 {
		t.Errorf("%+v %v", b.Stations, b.Rejects)
	}

	b = parse(t, "meteoswiss-inventory", sample(t, "meteoswiss-inventory/clean.csv"), feed.Options{})
	for i, row := range []struct {
		id          string
		first, last string
		measures    feed.Measures
	}{
		{"ZZA", "1901-01-01", "", feed.MeasuresTemperature},           // the mean goes on
		{"ZZB", "1961-01-01", "2030-12-03", feed.MeasuresTemperature}, // both extremes; the gap is passed over
		{"ZZC", "", "", feed.MeasuresOther},
	} {
		s := b.Stations[i]
		if s.ID != row.id || s.Measures != row.measures || dateText(s.First) != row.first || dateText(s.Last) != row.last {
			t.Errorf("%+v, want %+v", s, row)
		}
	}
	b = parse(t, "meteoswiss-inventory", sample(t, "meteoswiss-inventory/dirty.csv"), feed.Options{})
	sameRejects(t, b.Rejects, map[int]string{2: "is no time", 3: "no station and parameter", 4: "is no time", 5: "is no time", 6: "fields of at least"})
	if len(b.Stations) != 1 || b.Stations[0].First != civil.Of(1981, 1, 1) {
		t.Errorf("%+v", b.Stations)
	}
	b = parse(t, "meteoswiss-inventory", sample(t, "meteoswiss-inventory/edge.csv"), feed.Options{})
	if len(b.Stations) != 2 || b.Stations[0].First != civil.Of(1904, 2, 29) || b.Stations[1].Measures != feed.MeasuresOther {
		t.Errorf("%+v %v", b.Stations, b.Rejects)
	}
}

func dateText(d civil.Date) string {
	if d.IsZero() {
		return ""
	}
	return d.String()
}

func TestTheRealListsOfMeteoSwiss(t *testing.T) {
	b := parse(t, "meteoswiss-stations", real(t, "feeds/meteoswiss/ogd-nbcn_meta_stations.csv"), feed.Options{})
	want := feed.StationEntry{ID: "SIA", Name: "Segl-Maria", Region: "GR", Place: feed.Place{LatitudeDeg: 46.432331, LongitudeDeg: 9.762325, AltitudeM: 1804}, First: civil.Of(1863, 12, 1)} // read off the file
	if len(b.Stations) != 1 || b.Stations[0] != want || len(b.Rejects) != 0 {
		t.Errorf("%+v %v", b.Stations, b.Rejects)
	}
	// Nine stations in 11 lines, by cut and uniq; minima alone are no temperature of a day.
	b = parse(t, "meteoswiss-inventory", real(t, "feeds/meteoswiss/ogd-nbcn_meta_datainventory.csv"), feed.Options{})
	if len(b.Stations) != 9 || len(b.Rejects) != 0 || b.Stations[0].ID != "MER" || b.Stations[0].Measures != feed.MeasuresOther {
		t.Errorf("%d %+v %v", len(b.Stations), b.Stations, b.Rejects)
	}
}

func TestECADStationList(t *testing.T) {
	b := parse(t, "ecad-stations", sample(t, "ecad-stations/clean.txt"), feed.Options{})
	// 60° 20' = 60.3333…; 33° 56' 30" = 33.941666…; 18° 24' 36" = 18.41 (computed by hand).
	if s := b.Stations[1]; len(b.Stations) != 2 || s.ID != "2" || s.Name != "TWÅ, BY THE LAKE" || s.Region != "YY" ||
		math.Abs(s.Place.LatitudeDeg+33.9416667) > 1e-6 || math.Abs(s.Place.LongitudeDeg+18.41) > 1e-9 || s.Place.AltitudeM != 166 || len(b.Rejects) != 0 {
		t.Errorf("%+v %v", b.Stations, b.Rejects)
	}
	b = parse(t, "ecad-stations", sample(t, "ecad-stations/dirty.txt"), feed.Options{})
	sameRejects(t, b.Rejects, map[int]string{
		14: `"A" is no number`, 15: `"60.33" is no latitude`, 16: "no latitude", 17: `"tall" is no height`, 18: "hasn't 40 characters",
		20: "stands in line 19 already", 21: "no place on earth", 22: "don't follow the name",
	})
	b = parse(t, "ecad-stations", sample(t, "ecad-stations/edge.txt"), feed.Options{})
	if len(b.Stations) != 2 || !math.IsNaN(b.Stations[0].Place.AltitudeM) || b.Stations[1].Place.LongitudeDeg != -180 || len([]rune(b.Stations[1].Name)) != 40 {
		t.Errorf("%+v %v", b.Stations, b.Rejects)
	}
	refused(t, "a series", "ecad-stations", "STAID, SOUID,    DATE,   TG, Q_TG\n     1, 35381,18600101,   21,    0\n", feed.Options{}, "look whether this is the right format")
}
