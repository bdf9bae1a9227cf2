package feed_test

import (
	"math"
	"strings"
	"testing"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

func TestGHCNOneValueALine(t *testing.T) {
	b := parse(t, "ghcn-csv", sample(t, "ghcn-csv/clean.csv"), feed.Options{})
	sameDays(t, "clean", b.Days[:2], []weather.Day{day("2031-05-01", 0, 11, none), day("2031-05-02", 1, 12, none)})
	if b.Station != "ZZE00000001" || len(b.Days) != 5 || b.OtherRecords != 5 || b.MeanOf != "" || b.Window.Stated() {
		t.Errorf("%+v", b)
	}
	b = parse(t, "ghcn-csv", sample(t, "ghcn-csv/dirty.csv"), feed.Options{})
	sameDays(t, "dirty", b.Days, []weather.Day{
		day("2031-05-01", 1.2, 11.2, none), day("2031-05-02", 2, none, none), marked(day("2031-05-03", 3, 13, none), weather.Conflict), day("2031-05-05", none, 15, none)})
	sameRejects(t, b.Rejects, map[int]string{4: "repeats line 2", 5: "quality check (flag G)", 8: "says otherwise than line 7", 10: "no date YYYYMMDD",
		11: "no date YYYYMMDD", 12: "no whole number of tenths", 13: "has 2 fields"})
	if b.MissingValues != 1 {
		t.Errorf("%d missing", b.MissingValues)
	}
	edge := string(sample(t, "ghcn-csv/edge.csv"))
	refused(t, "which of two", "ghcn-csv", edge, feed.Options{}, "ZZE00000001, ZZE00000002")
	refused(t, "neither", "ghcn-csv", edge, feed.Options{Station: "ZZE00000003"}, "no record is of station ZZE00000003")
	b = parse(t, "ghcn-csv", []byte(edge), feed.Options{Station: "ZZE00000001"})
	sameDays(t, "edge", b.Days, []weather.Day{day("2032-02-29", -5.1, 0.4, -2.2), day("2032-03-01", -0.1, none, none)})
	if len(b.Winds) != 1 || b.Winds[0].GustMS != 18.5 || !math.IsNaN(b.Winds[0].MaxMS) || b.MeanOf != feed.MeanPublished {
		t.Errorf("%+v", b.Winds)
	}
	refused(t, "rain only", "ghcn-csv", "ZZE00000001,20310501,PRCP,5,,,E,\n", feed.Options{}, "PRCP (precipitation)")
	quoted := strings.ReplaceAll(`"ZZE00000001","20310501","TMAX","112",,,"E",`, ",,,", `,"","",`)
	if b := parse(t, "ghcn-csv", []byte(quoted), feed.Options{}); b.Days[0].MaxC != 11.2 {
		t.Errorf("%+v", b.Days)
	}
}

func TestGHCNOneDayALine(t *testing.T) {
	b := parse(t, "ghcn-access", sample(t, "ghcn-access/clean.csv"), feed.Options{})
	sameDays(t, "clean", b.Days[:1], []weather.Day{day("2031-05-01", 0, 11, none)})
	if b.Place != (feed.Place{LatitudeDeg: 61.25, LongitudeDeg: 25.5, AltitudeM: 143}) || len(b.Days) != 4 {
		t.Errorf("%+v", b)
	}
	b = parse(t, "ghcn-access", sample(t, "ghcn-access/dirty.csv"), feed.Options{})
	sameDays(t, "dirty", b.Days, []weather.Day{day("2031-05-01", 1.2, 11.2, none), day("2031-05-02", 2, none, none), day("2031-05-04", none, none, none),
		day("2031-05-06", none, none, none), marked(day("2031-05-07", 7, 17, none), weather.Conflict)})
	sameRejects(t, b.Rejects, map[int]string{3: "repeats line 2", 4: "quality check (flag I)", 5: "no date YYYY-MM-DD", 6: "no whole number of tenths", 8: "quote is left open", 11: ""})
	b = parse(t, "ghcn-access", sample(t, "ghcn-access/edge.csv"), feed.Options{})
	sameDays(t, "edge", b.Days, []weather.Day{day("2032-02-29", -5.1, 0.4, -2.2), day("2032-03-01", none, -0.1, none)})
	if !math.IsNaN(b.Place.AltitudeM) || b.Place.LatitudeDeg != -61.25 || b.Winds[0].MeanMS != 3.1 || b.Winds[0].GustMS != 18.5 {
		t.Errorf("%+v", b)
	}
	refused(t, "rain only", "ghcn-access", "\"STATION\",\"DATE\",\"PRCP\",\"PRCP_ATTRIBUTES\"\n", feed.Options{}, "line 1", "PRCP (precipitation)")
	refused(t, "another format", "ghcn-access", string(sample(t, "ghcn-csv/clean.csv")), feed.Options{}, "header with STATION, DATE")
}

func TestClimateDataOnlineText(t *testing.T) {
	clean := sample(t, "ghcn-cdo/clean.txt")
	refused(t, "no unit", "ghcn-cdo", string(clean), feed.Options{}, "whichever was ordered")
	// 50 °F = 10 °C, 59 °F = 15 °C, 41 °F = 5 °C, 23 °F = -5 °C
	b := parse(t, "ghcn-cdo", clean, feed.Options{Unit: "F"})
	sameDays(t, "clean", b.Days, []weather.Day{day("2031-05-01", 5, 15, 10), day("2031-05-02", -5, 10, 0), day("2031-05-03", none, none, none)})
	b = parse(t, "ghcn-cdo", clean, feed.Options{Unit: "C"})
	sameDays(t, "ordered in °C", b.Days[:1], []weather.Day{day("2031-05-01", 41, 59, 50)})
	b = parse(t, "ghcn-cdo", sample(t, "ghcn-cdo/dirty.txt"), feed.Options{Unit: "F"})
	sameDays(t, "dirty", b.Days, []weather.Day{day("2031-05-01", 5, 15, 10), marked(day("2031-05-04", 4.44, 15, 10), weather.Conflict)})
	sameRejects(t, b.Rejects, map[int]string{4: "repeats line 3", 5: "no date", 6: `TAVG "5o" is no number`, 7: "no date", 9: "says otherwise"})
	b = parse(t, "ghcn-cdo", sample(t, "ghcn-cdo/edge.txt"), feed.Options{Unit: "F", Station: "ZZE00000001"})
	sameDays(t, "a name with blanks", b.Days, []weather.Day{day("2032-02-29", -5, none, none), day("2032-03-01", 0, 5, none)})
	refused(t, "rain only", "ghcn-cdo", "STATION DATE     PRCP\n------- -------- ----\nA       20310501 0.31\n", feed.Options{Unit: "F"}, "PRCP (precipitation)")
	refused(t, "no dashes", "ghcn-cdo", "STATION DATE TMAX\nA 20310501 50\n", feed.Options{Unit: "F"}, "line of dashes")
}

func TestGHCNStationList(t *testing.T) {
	b := parse(t, "ghcn-stations", sample(t, "ghcn-stations/clean.txt"), feed.Options{})
	if len(b.Stations) != 2 || b.Stations[0].Name != "INVENTED BY THE LAKE" || b.Stations[1].Region != "AB" ||
		b.Stations[1].Place != (feed.Place{LatitudeDeg: -61.5, LongitudeDeg: -125.25, AltitudeM: 7.9}) || !b.Stations[0].First.IsZero() {
		t.Errorf("%+v", b.Stations)
	}
	b = parse(t, "ghcn-stations", sample(t, "ghcn-stations/dirty.txt"), feed.Options{})
	sameRejects(t, b.Rejects, map[int]string{2: "no latitude", 3: "no id of 11 characters", 4: "stands in line 1 already", 5: "no place on earth"})
	b = parse(t, "ghcn-stations", sample(t, "ghcn-stations/edge.txt"), feed.Options{})
	if len(b.Stations) != 1 || !math.IsNaN(b.Stations[0].Place.AltitudeM) || b.Stations[0].Place.LongitudeDeg != -180 {
		t.Errorf("%+v", b.Stations)
	}
	refused(t, "another format", "ghcn-stations", "id;name\n1;2\n", feed.Options{}, "nothing in this file could be read")
}
