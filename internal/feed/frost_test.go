package feed_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

func TestFrostDailyValues(t *testing.T) {
	b := parse(t, "frost", sample(t, "frost/clean.json"), feed.Options{})
	sameDays(t, "clean", b.Days, []weather.Day{day("2031-05-01", -2.5, 9.5, 3.1), day("2031-05-02", 0, 12, 5.5), day("2031-05-03", none, none, -1)})
	if b.Window != (feed.Window{StartHour: 19, EndHour: 18, Zone: "UTC", Label: feed.LabelEnd}) || b.MeanOf != feed.MeanPublished || b.Station != "SN99010" || b.Flags["qualityCode 0"] != 6 {
		t.Errorf("%+v", b)
	}
	notes(t, b, "the means are of 00–24 UTC")

	body := sample(t, "frost/dirty.json")
	b = parse(t, "frost", body, feed.Options{Station: "SN99010:0"})
	sameDays(t, "dirty", b.Days, []weather.Day{day("2031-05-01", none, 9.5, 3.1), day("2031-05-02", none, none, 5.5),
		marked(day("2031-05-03", none, none, 6), weather.Conflict), day("2031-05-06", none, none, none)})
	sameRejects(t, b.Rejects[:1], map[int]string{1: "qualityCode 5"})
	for _, part := range []string{"is no number", "qualityCode 7", `the unit is "K", not degC`, "says otherwise", "no time", "isn't at 00 UTC", "PT12H, not P1D"} {
		if !strings.Contains(rejectText(b), part) {
			t.Errorf("no reject says %q", part)
		}
	}
	// Not taken: two maxima of other offsets, a mean of another offset, one of another timeSeriesId, precipitation.
	counts(t, b, 1, 5)
	if len(b.Winds) != 1 || b.Winds[0].GustMS != 21.4 || b.Flags["qualityCode 2"] != 1 {
		t.Errorf("%v %v", b.Winds, b.Flags)
	}
}

func rejectText(b feed.Batch) string {
	var text []string
	for _, r := range b.Rejects {
		text = append(text, r.String())
	}
	return strings.Join(text, "\n")
}

func TestFrostReadings(t *testing.T) {
	b := parse(t, "frost", sample(t, "frost/edge.json"), feed.Options{Zone: time.UTC})
	sameDays(t, "hours 0 to 23", b.Days, []weather.Day{day("2031-05-01", 0, 23, 11.5)})
	// The gust at hour h is 10+h, of the hour before: that of 00 UTC of 2 May (34) is 1 May's.
	if b.Winds[len(b.Winds)-1].GustMS != 34 || b.Winds[len(b.Winds)-1].Date.String() != "2031-05-01" {
		t.Error(b.Winds)
	}
	notes(t, b, "holds 25 of 48 items from offset 0 on")
	refused(t, "no window", "frost", string(sample(t, "frost/edge.json")), feed.Options{}, "which hours are a day")
}

// The same days come from an answer and from its pages, wherever it is cut.
func TestAFrostAnswerInPages(t *testing.T) {
	body := sample(t, "frost/clean.json")
	want := parse(t, "frost", body, feed.Options{})
	var e map[string]any
	if err := json.Unmarshal(body, &e); err != nil {
		t.Fatal(err)
	}
	data := e["data"].([]any)
	page := func(from, to int) string {
		e["data"], e["offset"], e["currentItemCount"] = data[from:to], from, to-from
		delete(e, "nextLink")
		if to < len(data) {
			e["nextLink"] = "https://frost.example/observations/v0.jsonld?offset=2"
		}
		out, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		return string(out)
	}
	b := parse(t, "frost", zipped("1.json", page(0, 2), "2.json", page(2, len(data))), feed.Options{})
	sameDays(t, "pages", b.Days, want.Days)
	if strings.Contains(strings.Join(b.Notes, " "), "pages are wanted") {
		t.Error(b.Notes)
	}
	b = parse(t, "frost", zipped("1.json", page(0, 1), "2.json", page(1, 2)), feed.Options{})
	notes(t, b, "holds 2 of 3 items from offset 0 on: the other pages are wanted too")
	if next := feed.NextPage("frost", []byte(page(0, 2))); next != "https://frost.example/observations/v0.jsonld?offset=2" {
		t.Errorf("the next page is %q", next)
	}
	for _, none := range []string{page(2, 3), "not JSON", `{"nextLink":7}`} {
		if next := feed.NextPage("frost", []byte(none)); next != "" {
			t.Errorf("%s goes on at %q", none, next)
		}
	}
	if feed.NextPage("metno", []byte(page(0, 1))) != "" {
		t.Error("metno has pages")
	}
	broken := string(zipped("1.json", page(0, 2), "2.json", string(sample(t, "frost/error.json"))))
	refused(t, "a page that is an error", "frost", broken, feed.Options{}, "2.json: Frost answers 412")
}

// frostAnswer wraps observations of one day.
func frostAnswer(observations string) string {
	return `{"@type":"ObservationResponse","data":[{"sourceId":"SN99010:0","referenceTime":"2031-05-01T00:00:00.000Z","observations":[` + observations + `]}]}`
}

const frostMax = `{"elementId":"max(air_temperature P1D)","value":5,"unit":"degC","timeOffset":"PT18H"}`

func TestFrostAnswersThatDoNotServe(t *testing.T) {
	other := func(old, new string) string { return strings.Replace(frostMax, old, new, 1) }
	for _, row := range []struct{ sentence, body, says string }{
		{"no such series", string(sample(t, "frost/error.json")), "Frost answers 412: No available timeseries"},
		{"nothing found", `{"@type":"ErrorResponse","error":{"code":404,"message":"Not found"}}`, "look whether the station measures"},
		{"a wrong client id", `{"@type":"ErrorResponse","error":{"code":401,"message":"Unauthorized"}}`, "client id"},
		{"a wrong field", `{"@type":"ErrorResponse","error":{"code":400,"message":"Bad request","help":"Valid fields are sources"}}`, "Valid fields are sources"},
		{"the beta", `{"data":{"tseries":[{"header":{},"observations":[{"time":"x","body":{"data":"5"}}]}]}}`, "v1 (beta)"},
		{"the beta's other envelope", `{"@type":"ObservationResponse","tseries":[]}`, "v1 (beta)"},
		{"a source list", string(sample(t, "frost-stations/clean.json")), "list of sources"},
		{"another type", `{"@type":"ElementResponse"}`, `of type "ElementResponse"`},
		{"another JSON", `{"type":"Feature"}`, `of type ""`},
		{"nothing in it", `{"@type":"ObservationResponse","data":[]}`, "answer is empty"},
		{"radiation", frostAnswer(other("max(air_temperature P1D)", "mean(surface_downwelling_shortwave_flux_in_air PT1H)")), "(radiation)"},
		{"12 hours", frostAnswer(other("P1D", "PT12H")), "(of 12 hours)"},
		{"two offsets and neither the usual", frostAnswer(other("PT18H", "PT6H") + "," + other("PT18H", "PT0H")), "timeoffsets=default"},
		{"minima and maxima of different days", frostAnswer(frostMax + "," + strings.Replace(other("PT18H", "PT6H"), "max", "min", 1)), "the minima end at 06 UTC and the maxima at 18 UTC"},
		{"days and moments", frostAnswer(frostMax + `,{"elementId":"air_temperature","value":5,"unit":"degC"}`), "daily temperatures and those of moments"},
		{"an offset of minutes", frostAnswer(other("PT18H", "PT30M")), "no whole hours"},
		{"a quality that is none", frostAnswer(other(`"unit"`, `"qualityCode":9,"unit"`)), ""},
		{"words", frostAnswer(other(":5", `:"5"`)), "is no number"},
		{"observations that are no list", `{"@type":"ObservationResponse","data":[{"observations":5}]}`, "entry 1 of data of this Frost JSON holds a number"},
		{"cut", frostAnswer(frostMax)[:100], "cut off at byte 100"},
	} {
		if row.says == "" {
			b := parse(t, "frost", []byte(row.body), feed.Options{})
			sameRejects(t, b.Rejects, map[int]string{1: "9, not 0 to 7"})
			continue
		}
		refused(t, row.sentence, "frost", row.body, feed.Options{}, row.says)
	}
	one := frostAnswer(frostMax)
	refused(t, "another station", "frost", one, feed.Options{Station: "SN1"}, "of SN99010, not of SN1")
	if b := parse(t, "frost", []byte(one), feed.Options{Station: "KUU"}); b.Station != "KUU" || len(b.Days) != 1 {
		t.Errorf("%+v", b)
	}
	two := strings.Replace(one, `[{"sourceId"`, `[{"sourceId":"SN99020:0","referenceTime":"2031-05-01T00:00:00.000Z","observations":[`+other(":5", ":7")+`]},{"sourceId"`, 1)
	refused(t, "which of two", "frost", two, feed.Options{}, "several sources: SN99020, SN99010")
	if b := parse(t, "frost", []byte(two), feed.Options{Station: "SN99020"}); b.Days[0].MaxC != 7 || b.OtherRecords != 1 {
		t.Errorf("%+v", b)
	}
	// A window chooses the offset that ends as it does.
	several := []byte(frostAnswer(frostMax + "," + strings.NewReplacer("PT18H", "PT0H", ":5", ":6").Replace(frostMax) + "," + strings.NewReplacer("PT18H", "PT6H", ":5", ":7").Replace(frostMax)))
	for maxC, w := range map[float64]feed.Window{
		5: {}, 6: {StartHour: 0, EndHour: 24, Zone: "UTC", Label: feed.LabelStart}, 7: {StartHour: 7, EndHour: 6, Zone: "UTC", Label: feed.LabelEnd},
	} {
		if b := parse(t, "frost", several, feed.Options{Window: w}); b.Days[0].MaxC != maxC || w.Stated() && b.Window != w || b.OtherRecords != 2 {
			t.Errorf("%s: %+v", w, b)
		}
	}
	// Only one offset: it is taken and its window told.
	b := parse(t, "frost", []byte(frostAnswer(other("PT18H", "PT6H"))), feed.Options{})
	if b.Window != (feed.Window{StartHour: 7, EndHour: 6, Zone: "UTC", Label: feed.LabelEnd}) {
		t.Error(b.Window)
	}
}

func TestFrostStations(t *testing.T) {
	b := parse(t, "frost-stations", sample(t, "frost-stations/clean.json"), feed.Options{})
	if len(b.Stations) != 2 || b.Stations[0].Name != "ÅSGÅRD" || b.Stations[1].Last.String() != "2001-06-30" || b.Stations[0].Place.AltitudeM != 143 {
		t.Errorf("%+v", b.Stations)
	}
	b = parse(t, "frost-stations", sample(t, "frost-stations/dirty.json"), feed.Options{})
	sameRejects(t, b.Rejects, map[int]string{1: "no place", 2: "is no time", 4: "no id", 5: "no place on earth"})
	b = parse(t, "frost-stations", sample(t, "frost-stations/edge.json"), feed.Options{})
	notes(t, b, "announces 900 stations and holds 1")
	refused(t, "observations", "frost-stations", string(sample(t, "frost/clean.json")), feed.Options{}, "not SourceResponse")
}
