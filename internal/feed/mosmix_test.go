package feed_test

import (
	"archive/zip"
	"bytes"
	"strings"
	"testing"
	"time"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

func TestMOSMIXDays(t *testing.T) {
	opt := feed.Options{Zone: time.FixedZone("UTC+02:00", 2*3600)}
	b := parse(t, "mosmix", sample(t, "mosmix/clean.kml"), opt)
	// 10 °C until 23 UTC, 12 °C from 00 UTC: 2 May local is 1 h at 10, 1 h from
	// 10 to 12, 22 h at 12: 11.875. TX of the 12 hours to 18 UTC lies within the
	// day (20 °C); those to 06 UTC reach into two days and widen neither.
	sameDays(t, "clean", b.Days, []weather.Day{day("2031-05-02", 10, 20, 11.88), day("2031-05-03", 12, 12, 12)})
	if b.Station != "N9901" || b.Place != (feed.Place{LatitudeDeg: 61.1, LongitudeDeg: 25.2, AltitudeM: 143}) || b.Issued.Hour() != 3 || len(b.Partial) != 2 || b.Winds[1].GustMS != 19.5 || b.Winds[1].MaxMS != 3 {
		t.Errorf("%+v", b)
	}
	// From 18 to 18 UTC both 12-hour windows lie within a day: TN of 06 UTC is 2 °C.
	b = parse(t, "mosmix", sample(t, "mosmix/clean.kml"), feed.Options{Window: evening})
	if d := b.Days[0]; d.Date.String() != "2031-05-02" || d.MinC != 2 || d.MaxC != 20 {
		t.Errorf("%+v", b.Days)
	}
	b = parse(t, "mosmix", sample(t, "mosmix/dirty.kml"), opt)
	sameDays(t, "dirty", b.Days, []weather.Day{day("2031-05-02", 10, 12, 11.88), day("2031-05-03", 12, 12, 12)})
	sameRejects(t, b.Rejects, map[int]string{1: "TX has 68 values for 69 time steps: not used", 12: "no number", 13: "no temperature of air"})
	counts(t, b, 1, 0)
}

func TestMOSMIXOfSeveralStations(t *testing.T) {
	body := sample(t, "mosmix/edge.kmz")
	opt := feed.Options{Zone: time.UTC}
	refused(t, "which of two", "mosmix", string(body), opt, "2 stations: N9901, X9903", "name one as station")
	opt.Station = "X9903"
	b := parse(t, "mosmix", body, opt)
	sameDays(t, "the second", b.Days, []weather.Day{day("2031-05-01", 0, 0, 0), day("2031-05-02", 0, 0, 0), day("2031-05-03", 0, 0, 0)})
	if b.Place.LatitudeDeg != 62 {
		t.Errorf("%+v", b.Place)
	}
}

func TestMOSMIXFilesThatDoNotServe(t *testing.T) {
	good := string(sample(t, "mosmix/clean.kml"))
	opt := feed.Options{Zone: time.UTC}
	for _, row := range []struct{ sentence, body, says string }{
		{"rain", strings.NewReplacer(`"TTT"`, `"RR1c"`, `"TX"`, `"Rad1h"`).Replace(good), "Rad1h (radiation)"},
		{"a step too few", strings.Replace(good, "<dwd:TimeStep>2031-05-01T04:00:00.000Z</dwd:TimeStep>", "", 1), "TTT has 69 values for 68 time steps"},
		{"no station", strings.ReplaceAll(good, "kml:Placemark", "kml:Folder"), "holds no station"},
		{"a station without values", good[:strings.Index(good, "<kml:Placemark>")] + "<kml:Placemark><kml:name>X</kml:name></kml:Placemark></kml:Document></kml:kml>", "no temperature"},
		{"another XML", "<a></a>", "no MOSMIX KML"},
		{"no times", strings.ReplaceAll(good, "<dwd:TimeStep>2031", "<dwd:TimeStep>x"), "first: is no time"},
		{"cut", good[:len(good)-20], "cut off in line"},
	} {
		refused(t, row.sentence, "mosmix", row.body, opt, row.says)
	}
	refused(t, "no window", "mosmix", good, feed.Options{}, "which hours are a day")
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, name := range []string{"a.kml", "b.kml"} {
		w, _ := z.Create(name)
		w.Write([]byte(good))
	}
	z.Close()
	refused(t, "a KMZ of two", "mosmix", b.String(), opt, "2 files: a.kml, b.kml")
	refused(t, "a KMZ cut off", "mosmix", b.String()[:b.Len()/2], opt, "cut off or damaged")
}
