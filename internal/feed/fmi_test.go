package feed_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

var evening = feed.Window{StartHour: 18, EndHour: 18, Zone: "UTC", Label: feed.LabelEnd}

func TestFMIDailyValues(t *testing.T) {
	b := parse(t, "fmi", sample(t, "fmi/clean.xml"), feed.Options{Station: "KUU"})
	// -1 is a temperature of tday, though it means "none" of rrday and snow.
	sameDays(t, "clean", b.Days, []weather.Day{day("2031-05-01", -3.2, 8.4, -1), day("2031-05-02", 1, 12.5, 6.6), day("2031-05-03", 2.2, 14, 8.1)})
	if b.Window != evening || b.MeanOf != feed.MeanPublished || b.Station != "KUU" || b.Place.LatitudeDeg != 61.1 || b.Place.LongitudeDeg != 25.2 || !strings.Contains(b.Credit, "CC BY 4.0") {
		t.Errorf("%+v", b)
	}
	counts(t, b, 0, 6)
	notes(t, b, "not the mean of the 24 hours of the extremes")

	// The same kind of answer in WaterML, with another prefix, a comment and a CDATA section.
	b = parse(t, "fmi", sample(t, "fmi/dirty.xml"), feed.Options{})
	sameDays(t, "dirty", b.Days, []weather.Day{
		day("2031-05-01", -2.5, 9.5, -1),
		day("2031-05-02", none, none, -999), // FMI has no such code: it is kept, and weather.Judge marks it
		marked(day("2031-05-03", 4, 15, 9), weather.Conflict),
		day("2031-05-04", none, none, 7)})
	sameRejects(t, b.Rejects, map[int]string{42: "no time", 43: "at 00 UTC", 63: "no number", 84: "says otherwise than line 83"})
	counts(t, b, 2, 2)
	if b.Station != "999001" {
		t.Error(b.Station)
	}
}

func TestFMIHours(t *testing.T) {
	body := sample(t, "fmi/hourly.xml")
	// The mean at hour h is h, of the hour that ends at h; the hour stamped
	// 00 of 2 May is the last of 1 May: (1+…+23+0)/24 = 11.5.
	b := parse(t, "fmi", body, feed.Options{Zone: time.UTC})
	sameDays(t, "natural day", b.Days, []weather.Day{day("2031-05-01", -0.5, 23.5, 11.5)})
	if len(b.Winds) != 1 || b.Winds[0].MaxMS != 2 || b.Winds[0].GustMS != 11 {
		t.Error(b.Winds)
	}
	b = parse(t, "fmi", body, feed.Options{ReadingsOnly: true})
	if r := b.Readings[0]; len(b.Readings) != 24 || r.Over != time.Hour || r.TempC != 1 || r.MinC != 0.5 || r.MaxC != 1.5 || r.At.UTC().Hour() != 1 {
		t.Errorf("%+v", b.Readings)
	}
	refused(t, "no window", "fmi", string(body), feed.Options{}, "which hours are a day")
}

func TestFMICoverageOfTwoPlaces(t *testing.T) {
	body := sample(t, "fmi/edge.xml")
	refused(t, "which of two", "fmi", string(body), feed.Options{Zone: helsinki(t)}, "several places: 999001 ; 999002", "name one as station")
	for _, row := range []struct {
		station string
		low     float64
	}{{"999001", -1}, {"999002", 4}, {"61.10000,25.20000", -1}, {"62.00000, 25.00000", 4}} {
		// From 21 UTC of 1 May, midnight in Helsinki, half-hourly values low and low+2 by turns; the 49th is NaN.
		b := parse(t, "fmi", body, feed.Options{Zone: helsinki(t), Station: row.station})
		if len(b.Days) != 1 || b.Days[0].MinC != row.low || b.Days[0].MaxC != row.low+2 || b.MissingValues != 1 || b.Days[0].Date.String() != "2031-05-02" {
			t.Errorf("%s: %+v", row.station, b)
		}
		near(t, row.station, b.Days[0].MeanC, row.low+1)
		if len(b.Winds) != 2 || b.Winds[0].GustMS != 17.2 || b.Winds[0].MaxMS != 9.5 {
			t.Error(b.Winds)
		}
	}
}

func TestFMIAnswersThatDoNotServe(t *testing.T) {
	good := string(sample(t, "fmi/clean.xml"))
	grid := string(sample(t, "fmi/edge.xml"))
	opt := feed.Options{Station: "999001", Zone: time.UTC}
	for _, row := range []struct{ sentence, body, old, new, says string }{
		{"an empty collection", string(sample(t, "fmi/empty.xml")), "", "", "answer is empty (numberReturned 0)"},
		{"an exception report, whatever its status", string(sample(t, "fmi/exception.xml")), "", "", "OperationParsingFailed: Too long time interval requested!"},
		{"a retired forecast", string(sample(t, "fmi/exception.xml")), "Too long time interval requested!", "No handler for 'fmi::forecast::hirlam::surface::point::simple' found!", "No handler for 'fmi::forecast::hirlam"},
		{"rain only", strings.NewReplacer("tday", "rrday", "tmin", "snow", "tmax", "r_1h").Replace(good), "", "", "r_1h (precipitation), rrday (precipitation), snow (snow depth)"},
		{"radiation only", strings.NewReplacer("tday", "GLOB_1MIN", "tmin", "GLOB_PT1H_AVG", "tmax", "GLOB_1MIN", "rrday", "GLOB_1MIN", "snow", "GLOB_1MIN").Replace(good), "", "", "GLOB_1MIN (radiation)"},
		{"the minimum at the ground is not one of the air", strings.NewReplacer("tday", "rrday", "tmin", "TG_PT12H_min", "tmax", "rrday").Replace(good), "", "", "TG_PT12H_min (temperature at the ground)"},
		{"daily values and moments", strings.Replace(good, "tday", "t2m", 1), "", "", "different kinds: daily, of moments"},
		{"an answer of another station", grid, "999001", "999009", "holds several places"},
		{"a value too many", grid, "<gml:doubleOrNilReasonTupleList>", "<gml:doubleOrNilReasonTupleList> 1", "don't fit"},
		{"a column too many", grid, `<swe:field name="Pressure"/>`, `<swe:field name="Pressure"/><swe:field name="Humidity"/>`, "don't fit"},
		{"positions cut", grid, "62.00000 25.00000  1935522000", "", "don't fit"},
		{"no times at all", strings.ReplaceAll(good, "2031-", "x"), "", "", "nothing in this file could be read; first: is no time"},
		{"another root", good, "FeatureCollection", "StoredQueryCollection", "StoredQueryCollection, no FMI answer"},
		{"another namespace", good, `"http://xml.fmi.fi/schema/wfs/2.0"`, `"urn:other"`, "no values in an encoding that is known here"},
		{"a document type with entities", good, "<wfs:FeatureCollection", `<!DOCTYPE a [<!ENTITY b "bbbb"><!ENTITY c "&b;&b;">]><wfs:FeatureCollection`, "document type or entities"},
		{"an entity that nobody declared", good, "tday", "&tday;", "damaged in line"},
		{"JSON", `{"a":1}`, "", "", "no FMI XML"},
		{"two answers", good + good, "", "", "second XML document"},
		{"a tag that isn't closed", good, "</BsWfs:Time>", "", "damaged in line"},
		{"elements in each other without end", strings.Repeat("<a>", 1000), "<a>", `<wfs:FeatureCollection xmlns:wfs="http://www.opengis.net/wfs/2.0">`, "more than 64 deep"},
		{"a strange encoding", good, "UTF-8", "UTF-7", "can't be read"},
	} {
		body := row.body
		if row.old != "" {
			body = strings.Replace(body, row.old, row.new, -1)
		}
		refused(t, row.sentence, "fmi", body, opt, row.says)
	}
	for _, cut := range []int{60, 800, len(good) / 2, len(good) - 5} {
		refused(t, fmt.Sprint("cut at ", cut), "fmi", good[:cut], opt, "cut off in line")
	}
	refused(t, "another station's number", "fmi", string(sample(t, "fmi/dirty.xml")), feed.Options{Station: "100001"}, "of station 999001, not of 100001")
}

func TestXMLInOtherClothes(t *testing.T) {
	good := sample(t, "fmi/clean.xml")
	want := parse(t, "fmi", good, feed.Options{}).Days
	for _, row := range []struct {
		sentence string
		body     []byte
	}{
		{"a byte-order mark", append([]byte("\xef\xbb\xbf"), good...)},
		{"ISO-8859-1", bytes.Replace(bytes.Replace(good, []byte("UTF-8"), []byte("ISO-8859-1"), 1), []byte("<wfs:member>"), []byte("<!-- \xc4\xe4 --><wfs:member>"), 1)},
		{"CRLF", bytes.ReplaceAll(good, []byte("\n"), []byte("\r\n"))},
		{"https namespaces", bytes.ReplaceAll(good, []byte(`"http://`), []byte(`"https://`))},
		{"another prefix", bytes.ReplaceAll(bytes.ReplaceAll(good, []byte("BsWfs:"), []byte("b:")), []byte("xmlns:BsWfs"), []byte("xmlns:b"))},
		{"the latest value missing", append(bytes.TrimSuffix(bytes.TrimSpace(good), []byte("</wfs:FeatureCollection>")), []byte(`<wfs:member><BsWfs:BsWfsElement><gml:pos>61.10000 25.20000</gml:pos><BsWfs:Time>2031-05-03T00:00:00Z</BsWfs:Time><BsWfs:ParameterName>TDAY</BsWfs:ParameterName><BsWfs:ParameterValue>NaN</BsWfs:ParameterValue></BsWfs:BsWfsElement></wfs:member></wfs:FeatureCollection>`)...)},
	} {
		sameDays(t, row.sentence, parse(t, "fmi", row.body, feed.Options{}).Days, want)
	}
}

func TestFMIStations(t *testing.T) {
	b := parse(t, "fmi-stations", sample(t, "fmi-stations/clean.xml"), feed.Options{})
	if len(b.Stations) != 2 || b.Stations[0].Name != "Kuusela kenttä" || b.Stations[0].Last != 0 || b.Stations[1].Last.String() != "2020-06-30" || b.Stations[1].Place.LatitudeDeg != 62 {
		t.Errorf("%+v", b.Stations)
	}
	b = parse(t, "fmi-stations", sample(t, "fmi-stations/dirty.xml"), feed.Options{})
	sameRejects(t, b.Rejects, map[int]string{18: "stands in line 8 already", 28: "no place on earth", 38: "no place", 48: "begins or ends at no time"})
	if len(b.Stations) != 1 || b.Stations[0].Name != "A & B" {
		t.Errorf("%+v", b.Stations)
	}
	if b = parse(t, "fmi-stations", sample(t, "fmi-stations/edge.xml"), feed.Options{}); b.Stations[0].Name != "Ääpälä" || b.Stations[0].First.String() != "1922-06-14" {
		t.Errorf("%+v", b.Stations)
	}
	refused(t, "observations", "fmi-stations", string(sample(t, "fmi/clean.xml")), feed.Options{}, "no day was found")
	refused(t, "an exception", "fmi-stations", string(sample(t, "fmi/exception.xml")), feed.Options{}, "Too long")
	refused(t, "another XML", "fmi-stations", "<a/>", feed.Options{}, "no list of FMI's stations")
}
