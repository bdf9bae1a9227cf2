package feed_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

func TestKNMIDaysOfOurOwn(t *testing.T) {
	b := parse(t, "knmi", sample(t, "knmi/clean.txt"), feed.Options{})
	sameDays(t, "clean", b.Days[:1], []weather.Day{day("2031-05-01", -0.4, 12.1, 6.1)})
	if b.Window != (feed.Window{EndHour: 24, Zone: "UTC", Label: feed.LabelStart}) || b.Winds[0] != (weather.Wind{Date: b.Days[0].Date, MeanMS: 2.1, MaxMS: 3.6, GustMS: 8.7}) || b.MeanOf != feed.MeanPublished {
		t.Errorf("%+v", b)
	}
	b = parse(t, "knmi", sample(t, "knmi/dirty.txt"), feed.Options{})
	sameDays(t, "-1 is a temperature, a blank is none", b.Days, []weather.Day{day("2031-05-01", -0.1, 12.1, none), marked(day("2031-05-04", -0.1, 12.4, 6.4), weather.Conflict)})
	sameRejects(t, b.Rejects, map[int]string{9: "repeats line 8", 10: `TG "6.2"`, 11: "no date", 12: "has 3 fields", 14: "says otherwise"})
	refused(t, "another window than KNMI's", "knmi", string(sample(t, "knmi/clean.txt")), feed.Options{Window: feed.Window{StartHour: 18, EndHour: 18, Zone: "UTC", Label: feed.LabelEnd}}, "whose days are 00–24 UTC")
	edge := string(sample(t, "knmi/edge.txt"))
	refused(t, "two stations", "knmi", edge, feed.Options{}, "998, 999")
	b = parse(t, "knmi", []byte(edge), feed.Options{Station: "999"})
	sameDays(t, "without prose", b.Days, []weather.Day{day("2032-02-29", -6.1, 4.2, -1.3), day("2032-03-01", none, none, none), day("2032-03-02", -0.1, -0.1, -0.1)})
	if b.MissingValues != 3 || len(b.Winds) != 0 {
		t.Errorf("%+v", b)
	}
	refused(t, "hours", "knmi", "# STN,YYYYMMDD,   HH,    T,   RH\n999,20310501,1,50,0\n", feed.Options{}, "line 1", "HH (hours), T (hourly temperature), RH (precipitation)")
	refused(t, "rain", "knmi", "STN,YYYYMMDD,   RD,   SX\n", feed.Options{}, "RD (precipitation)")
}

func TestECADSeriesOfOurOwn(t *testing.T) {
	b := parse(t, "ecad", sample(t, "ecad/clean.txt"), feed.Options{})
	sameDays(t, "clean", b.Days[:1], []weather.Day{day("2031-05-01", none, none, 5.1)})
	if b.Station != "99" || len(b.Days) != 4 || b.Window.Stated() || !strings.Contains(b.Notes[0], "elements.txt") {
		t.Errorf("%+v", b)
	}
	b = parse(t, "ecad", sample(t, "ecad/dirty.txt"), feed.Options{})
	sameDays(t, "dirty", b.Days, []weather.Day{day("2031-05-01", none, 12.1, none), day("2031-05-02", none, none, none), day("2031-05-03", none, none, none), day("2031-05-04", none, none, none),
		day("2031-05-05", none, 12.5, none), marked(day("2031-05-06", none, 12.6, none), weather.Conflict), day("2031-05-08", none, none, none), day("2031-05-09", none, none, none)})
	sameRejects(t, b.Rejects, map[int]string{20: "suspect (quality 1)", 24: "repeats line 23", 26: "says otherwise", 27: "no date", 28: `TX "12x"`, 29: "has 2 fields", 30: `quality "5"`})
	if b.MissingValues != 3 || !strings.Contains(strings.Join(b.Notes, " "), "source changes within the series (1 times)") {
		t.Errorf("%d missing, %v", b.MissingValues, b.Notes)
	}
	b = parse(t, "ecad", sample(t, "ecad/edge.txt"), feed.Options{})
	sameDays(t, "of one source, ending in missing days", b.Days, []weather.Day{day("2032-02-28", -6.1, none, none), day("2032-02-29", -0.1, none, none), day("2032-03-01", 0, none, none),
		day("2032-03-02", none, none, none), day("2032-03-03", none, none, none)})
	if b.Station != "999001" || b.MissingValues != 2 {
		t.Errorf("%+v", b)
	}
	for element, what := range map[string]string{"RR": "precipitation", "QQ": "radiation", "SS": "sunshine"} {
		refused(t, what, "ecad", "STAID, SOUID,    DATE,   "+element+", Q_"+element+"\n", feed.Options{}, element+" ("+what+")")
	}
}

func TestECCCYearsOfOurOwn(t *testing.T) {
	b := parse(t, "eccc", sample(t, "eccc/clean.csv"), feed.Options{})
	sameDays(t, "clean", b.Days[:1], []weather.Day{day("2031-05-01", 2.1, 13.3, 7.7)})
	if b.Station != "9990001" || b.MeanOf != feed.MeanMidRange || b.Place.LatitudeDeg != 45.4 || b.Winds[0].GustMS != 11.39 { // 41 km/h
		t.Errorf("%+v", b)
	}
	b = parse(t, "eccc", sample(t, "eccc/dirty.csv"), feed.Options{})
	sameDays(t, "dirty", b.Days, []weather.Day{day("2031-05-01", 2.1, 13.3, 7.7), day("2031-05-02", none, none, none), day("2031-05-03", 3.1, 14.3, 8.7), day("2031-05-05", 4.1, 16.3, none)})
	sameRejects(t, b.Rejects, map[int]string{5: "repeats line 4", 6: `"15.x" is no number`, 7: "no date", 8: "has 3 fields", 9: "quote is left open"})
	flagsAre(t, b.Flags, map[string]int{"Data Quality †": 2, "Max Temp E": 1, "Max Temp M": 1, "Min Temp M": 1, "Mean Temp M": 1, "Max Temp ^": 1})
	if len(b.Winds) != 1 || b.Winds[0].GustMS != 13.33 { // "<31" is no number; 48 km/h
		t.Errorf("%+v", b.Winds)
	}
	b = parse(t, "eccc", sample(t, "eccc/edge.csv"), feed.Options{})
	sameDays(t, "days that are absent or to come", b.Days, []weather.Day{day("2032-02-28", none, none, none), day("2032-02-29", -10, -0.1, -5.1), day("2032-12-31", none, none, none)})
	refused(t, "hours", "eccc", `"Date/Time","Temp (°C)"`+"\n", feed.Options{}, "Temp (°C) (hourly temperature)")
}

func TestMeteoSwissFilesOfOurOwn(t *testing.T) {
	b := parse(t, "meteoswiss", sample(t, "meteoswiss/clean.csv"), feed.Options{})
	sameDays(t, "clean", b.Days[:1], []weather.Day{day("2031-05-01", -0.3, 13.2, 7.1)})
	if b.Station != "ZZZ" || b.Window.EndHour != 24 || b.Winds[0].GustMS != 9.1 || !math.IsNaN(b.Winds[0].MeanMS) {
		t.Errorf("%+v", b)
	}
	refused(t, "two stations", "meteoswiss", string(sample(t, "meteoswiss/dirty.csv")), feed.Options{}, "ZZZ, YYY")
	b = parse(t, "meteoswiss", sample(t, "meteoswiss/dirty.csv"), feed.Options{Station: "ZZZ"})
	sameDays(t, "columns in another order", b.Days, []weather.Day{day("2031-05-01", 1.1, 12.2, 6.1), day("2031-05-02", none, none, none), day("2031-05-07", 1.5, 9.5, 5)})
	sameRejects(t, b.Rejects, map[int]string{3: "repeats line 2", 5: "stamped 00:00", 6: "no time dd.mm.yyyy", 7: `tre200dn "-"`, 8: "no time", 9: "has 2 fields"})
	if b.Winds[0].GustMS != 10 { // 36 km/h
		t.Errorf("%+v", b.Winds)
	}
	edge := sample(t, "meteoswiss/edge.csv")
	refused(t, "days of hours without a window", "meteoswiss", string(edge), feed.Options{}, "add a window")
	b = parse(t, "meteoswiss", edge, feed.Options{Zone: time.UTC})
	// Hours stamped at their end: 0.1 to 2.4 are those of 29 February.
	sameDays(t, "hours", b.Days, []weather.Day{day("2032-02-28", none, none, none), day("2032-02-29", -0.4, 2.9, 1.25)})
	if len(b.Readings) != 29 || b.Readings[0].Over != time.Hour || b.MeanOf != feed.MeanReadings {
		t.Errorf("%+v", b.Readings[0])
	}
	refused(t, "rain and radiation", "meteoswiss", "station_abbr;reference_timestamp;rre150d0;gre000d0\n", feed.Options{}, "rre150d0 (precipitation), gre000d0 (radiation)")
	refused(t, "months", "meteoswiss", "station_abbr;reference_timestamp;tre200m0\n", feed.Options{}, "monthly temperature")
}
