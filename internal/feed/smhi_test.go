package feed_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

func TestSMHIDailyValues(t *testing.T) {
	b := parse(t, "smhi-metobs", sample(t, "smhi-metobs/clean.csv"), feed.Options{})
	sameDays(t, "minima", b.Days, []weather.Day{day("2031-05-01", -2.5, none, none), day("2031-05-02", 0.4, none, none), day("2031-05-03", 3, none, none)})
	// The positions are not in order of time: the newest holds.
	if b.Window != evening || b.Station != "990010" || b.Place != (feed.Place{LatitudeDeg: 61.1, LongitudeDeg: 15.2, AltitudeM: 143}) || b.Flags["quality G"] != 2 || b.Flags["quality Y"] != 1 {
		t.Errorf("%+v", b)
	}
	b = parse(t, "smhi-metobs", sample(t, "smhi-metobs/dirty.csv"), feed.Options{Station: "GRA"})
	sameDays(t, "means", b.Days, []weather.Day{
		day("2031-05-01", none, none, 1.1), day("2031-05-02", none, none, none), day("2031-05-04", none, none, none), day("2031-05-05", none, none, none),
		marked(day("2031-05-06", none, none, 6), weather.Conflict), day("2031-05-09", none, none, none), day("2031-05-13", none, none, 0)})
	sameRejects(t, b.Rejects, map[int]string{15: "quality R", 17: "no number with a decimal point", 20: "says otherwise than line 19", 21: "of 12h0m0s, not of a day",
		22: "time or the day is none", 23: `quality is "Q"`, 24: "isn't that of the time", 25: "has 2 fields"})
	if b.Window != (feed.Window{EndHour: 24, Zone: "UTC", Label: feed.LabelStart}) || b.MeanOf != feed.MeanPublished || b.MissingValues != 1 {
		t.Errorf("%+v", b)
	}
	b = parse(t, "smhi-metobs", sample(t, "smhi-metobs/daily.json"), feed.Options{})
	sameDays(t, "JSON maxima, one of them a number", b.Days, []weather.Day{day("2031-05-01", none, 9.5, none), day("2031-05-02", none, 12, none), day("2031-05-03", none, none, none)})
	sameRejects(t, b.Rejects, map[int]string{3: "quality R"})
	if b.Window != evening || b.Station != "990010" {
		t.Errorf("%+v", b)
	}
}

func TestSMHIHours(t *testing.T) {
	body := sample(t, "smhi-metobs/edge.json")
	// Half a degree an hour from 00 UTC of 1 May; 03 UTC is null, every other value is a string.
	b := parse(t, "smhi-metobs", body, feed.Options{ReadingsOnly: true})
	if len(b.Readings) != 25 || b.MissingValues != 1 || b.Readings[1].TempC != 0.5 || b.Readings[24].TempC != 12 || b.Flags["quality Y"] != 5 || b.Place.AltitudeM != 143 {
		t.Errorf("%+v", b)
	}
	b = parse(t, "smhi-metobs", body, feed.Options{Zone: time.UTC})
	// Moments 0 to 23 without 3: of the weights only those beside the hole are 1.5: (276-3 + 0.5*2 + 0.5*4)/24/2 = 5.75.
	sameDays(t, "a day", b.Days, []weather.Day{day("2031-05-01", 0, 11.5, 5.75)})
	refused(t, "no window", "smhi-metobs", string(body), feed.Options{}, "which hours are a day")
}

// smhi writes a CSV of one block of parameters and rows.
func smhi(parameters, header string, rows ...string) string {
	return "Stationsnamn;Stationsnummer\nGranåsen A;990010\n\nParameternamn;Beskrivning;Enhet\n" + parameters + "\n\n" + header + "\n" + strings.Join(rows, "\n") + "\n"
}

const (
	smhiDaily  = "Från Datum Tid (UTC);Till Datum Tid (UTC);Representativt dygn;Lufttemperatur;Kvalitet;;Tidsutsnitt:"
	smhiHourly = "Datum;Tid (UTC);Lufttemperatur;Kvalitet;;Tidsutsnitt:"
	smhiRow    = "2031-04-30 18:00:01;2031-05-01 18:00:00;2031-05-01;%s;G;;"
	smhiMin    = "Lufttemperatur;min, 1 gång per dygn;celsius"
	smhiMax    = "Lufttemperatur;max, 1 gång per dygn;degree celsius"
)

func TestSMHIFilesOfSeveralColumns(t *testing.T) {
	both := smhi(smhiMin+"\n"+smhiMax, strings.Replace(smhiDaily, "Kvalitet;", "Kvalitet;Lufttemperatur;Kvalitet;", 1), strings.Replace(smhiRow, "%s", "1.5;G;11.5", 1))
	b := parse(t, "smhi-metobs", []byte(both), feed.Options{})
	sameDays(t, "minimum and maximum", b.Days, []weather.Day{day("2031-05-01", 1.5, 11.5, none)})
	var rows []string
	for h := range 24 {
		rows = append(rows, fmt.Sprintf("2031-05-01;%02d:00:00;4.0;G;%d.5;G", h, h))
	}
	wind := smhi("Lufttemperatur;momentanvärde, 1 gång/tim;celsius\nByvind;max, 1 gång/tim;meter per sekund", "Datum;Tid (UTC);Lufttemperatur;Kvalitet;Byvind;Kvalitet;;Tidsutsnitt:", rows...)
	b = parse(t, "smhi-metobs", []byte(wind), feed.Options{Zone: time.UTC})
	if len(b.Winds) != 1 || b.Winds[0].GustMS != 23.5 || b.Days[0].MeanC != 4 {
		t.Errorf("%+v", b)
	}
}

func TestSMHIDaysThatChangeTheirHours(t *testing.T) {
	body := smhi(smhiMin, smhiDaily, fmt.Sprintf(smhiRow, "1.0"), "2031-05-02 00:00:01;2031-05-03 00:00:00;2031-05-02;2.0;G;;")
	b := parse(t, "smhi-metobs", []byte(body), feed.Options{})
	if b.Window.Stated() || len(b.Eras) != 2 || b.Eras[0].Window != evening || b.Eras[1].Days.First.String() != "2031-05-02" {
		t.Errorf("%s, %+v", b.Window, b.Eras)
	}
	notes(t, b, "what a day is changes")
}

func TestSMHIFilesThatDoNotServe(t *testing.T) {
	row := fmt.Sprintf(smhiRow, "1.0")
	for _, r := range []struct{ sentence, body, says string }{
		{"radiation", smhi("Global Irradians (svenska stationer);medelvärde 1 timme, varje timme;watt per kvadratmeter", smhiHourly, row), "Global Irradians"},
		{"rain", smhi("Nederbördsmängd;summa 1 dygn, 1 gång/dygn, kl 06;millimeter", smhiDaily, row), "Nederbördsmängd (summa 1 dygn, 1 gång/dygn, kl 06), no air temperature"},
		{"wind alone", smhi("Byvind;max, 1 gång/tim;meter per sekund", smhiHourly, row), "SMHI's wind"},
		{"months", smhi("Lufttemperatur;medel, 1 gång per månad;celsius", smhiDaily, row), "monthly"},
		{"12 hours", smhi("Lufttemperatur;min, 2 gånger per dygn, kl 06 och 18;celsius", smhiDaily, row), "of 12 hours"},
		{"another description", smhi("Lufttemperatur;median, 1 gång/dygn;celsius", smhiDaily, row), "isn't known here"},
		{"another unit", smhi("Lufttemperatur;min, 1 gång per dygn;fahrenheit", smhiDaily, row), `"fahrenheit", not celsius`},
		{"no parameter", smhiDaily + "\n" + row, "doesn't say which parameter"},
		{"no data header", smhi(smhiMin, "", row), "no line begins with"},
		{"a header of hours over days", smhi(smhiMin, smhiHourly, row), "disagree"},
		{"days and moments", smhi(smhiMin+"\nLufttemperatur;momentanvärde, 1 gång/tim;celsius", smhiDaily, row), "daily temperatures and those of moments"},
		{"two parameters, one column", smhi(smhiMin+"\n"+smhiMax, smhiDaily, row), "2 parameters are announced and the data have 1 columns"},
		{"notes but no values", string(sample(t, "smhi-metobs/empty.csv")), "holds no value"},
		{"nothing but rejects", smhi(smhiMin, smhiDaily, "2031-05-01;x;y;z;G"), "nothing in this file could be read; first: the time or the day is none"},
		{"a catalogue", `{"key":"corrected-archive","title":"Lufttemperatur - Akalla","data":[]}`, "catalogue (Lufttemperatur - Akalla)"},
		{"another JSON", `{"a":1}`, "no SMHI data"},
		{"a list", `[1]`, "holds a array"},
		{"JSON without values", `{"value":null,"parameter":{"name":"Lufttemperatur","summary":"min, 1 gång per dygn","unit":"celsius"}}`, "holds no value"},
		{"JSON wind", `{"value":[],"parameter":{"name":"Vindhastighet","summary":"medelvärde 10 min","unit":"m/s"}}`, "SMHI's wind"},
		{"JSON cut", string(sample(t, "smhi-metobs/daily.json"))[:200], "cut off at byte 200"},
		{"JSON with an object for values", `{"value":{},"parameter":{"name":"Lufttemperatur","summary":"min, 1 gång per dygn","unit":"celsius"}}`, "is no list"},
	} {
		refused(t, r.sentence, "smhi-metobs", r.body, feed.Options{Zone: time.UTC}, r.says)
	}
	b := parse(t, "smhi-metobs", []byte(`{"value":[{"from":1,"to":2,"ref":"x","value":"1","quality":"G"},{"date":5,"value":"x","quality":"G"},{"from":1935280801000,"to":1935367200000,"ref":"2031-05-01","value":"1","quality":"G"}],"parameter":{"name":"Lufttemperatur","summary":"min, 1 gång per dygn","unit":"celsius"},"position":5}`), feed.Options{})
	sameRejects(t, b.Rejects, map[int]string{1: "lacks from, to or ref", 2: "no number"})
}

func TestSMHIForecastDays(t *testing.T) {
	zone := time.FixedZone("UTC+02:00", 2*3600)
	opt := feed.Options{Zone: zone, Station: "GRA"}
	b := parse(t, "smhi-forecast", sample(t, "smhi-forecast/clean.json"), opt)
	// 5 °C until 23 UTC, 7 °C from 00 UTC, which is 02 local: 2 May is 1 h at 5, 1 h from 5 to 7, 22 h at 7.
	// From 3 May on steps are 6 h: no extremes can be read off; then 12 h: no days.
	sameDays(t, "clean", b.Days, []weather.Day{day("2031-05-01", 5, 5, 5), day("2031-05-02", 5, 7, 6.88), day("2031-05-03", none, none, 7), day("2031-05-04", none, none, 7)})
	if len(b.Partial) != 2 || len(b.Rejects) != 0 || b.Winds[0].GustMS != 14.2 || b.Issued.Format(time.RFC3339) != "2031-04-30T22:01:32Z" || b.Place.LatitudeDeg != 61.1 {
		t.Errorf("%+v", b)
	}
	b = parse(t, "smhi-forecast", sample(t, "smhi-forecast/dirty.json"), feed.Options{Zone: zone, ReadingsOnly: true})
	sameRejects(t, b.Rejects, map[int]string{4: "not later", 9: "no time"})
	counts(t, b, 2, 0) // an absent one, and 9999
	b = parse(t, "smhi-forecast", sample(t, "smhi-forecast/edge.json"), feed.Options{Zone: stockholm(t)})
	sameDays(t, "the day of 23 hours", b.Days, []weather.Day{day("2031-03-30", -1, -1, -1)})
	for _, row := range []struct{ sentence, body, says string }{
		{"the retired one", `{"approvedTime":"2025-01-20T18:29:54Z","timeSeries":[{"validTime":"2025-01-20T19:00:00Z","parameters":[{"name":"t","values":[1]}]}]}`, "pmp3g version 2"},
		{"no temperature", `{"timeSeries":[{"time":"2031-05-01T00:00:00Z","data":{"wind_speed":3}}]}`, "no timeSeries with data.air_temperature"},
		{"no steps", `{"timeSeries":[]}`, "no timeSeries"},
		{"one step", `{"timeSeries":[{"time":"2031-05-01T00:00:00Z","data":{"air_temperature":3}}]}`, "no day was found"},
		{"words", `{"timeSeries":[{"time":"2031-05-01T00:00:00Z","data":{"air_temperature":"3"}}]}`, "entry 1 of timeSeries of this SMHI forecast JSON holds a string"},
		{"cut", string(sample(t, "smhi-forecast/clean.json"))[:500], "cut off at byte 500"},
	} {
		refused(t, row.sentence, "smhi-forecast", row.body, opt, row.says)
	}
	refused(t, "no zone", "smhi-forecast", "{}", feed.Options{}, "set zone")
}

func stockholm(t testing.TB) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Stockholm")
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

func TestSMHIStations(t *testing.T) {
	b := parse(t, "smhi-stations", sample(t, "smhi-stations/clean.json"), feed.Options{})
	if len(b.Stations) != 2 || b.Stations[0].ID != "990010" || b.Stations[0].First.String() != "1961-01-01" || b.Stations[1].Last.String() != "1960-12-31" {
		t.Errorf("%+v", b.Stations)
	}
	b = parse(t, "smhi-stations", sample(t, "smhi-stations/dirty.json"), feed.Options{})
	sameRejects(t, b.Rejects, map[int]string{2: "no place", 3: "no key", 4: "no place", 5: "no place on earth"})
	if b = parse(t, "smhi-stations", sample(t, "smhi-stations/edge.json"), feed.Options{}); b.Stations[0].ID != "990050" || !b.Stations[0].First.IsZero() {
		t.Errorf("%+v", b.Stations)
	}
	refused(t, "rain", "smhi-stations", `{"title":"Nederbördsmängd","station":[]}`, feed.Options{}, "Nederbördsmängd")
	refused(t, "a period", "smhi-stations", `{"title":"Lufttemperatur","period":[]}`, feed.Options{}, "no list of stations")
}

// smhiFile is a file of one parameter in the layout of 2024.
func smhiFile(what string, rows ...string) string {
	return "Stationsnamn;Stationsnummer;Stationsnät;Mäthöjd (meter över marken)\nGranåsen A;990010;SMHIs stationsnät;2.0\n\nParameternamn;Beskrivning;Enhet\nLufttemperatur;" + what +
		";celsius\n\nTidsperiod (fr.o.m);Tidsperiod (t.o.m);Höjd (meter över havet);Latitud (decimalgrader);Longitud (decimalgrader)\n2015-06-01 00:00:00;2031-06-30 23:59:59;143.0;61.1;15.2\n\n" +
		"Från Datum Tid (UTC);Till Datum Tid (UTC);Representativt dygn;Lufttemperatur;Kvalitet;;Tidsutsnitt:\n" + strings.Join(rows, "\n") + "\n"
}

// files packs files under names of their own.
func files(bodies ...string) []byte {
	var named []string
	for i, body := range bodies {
		named = append(named, fmt.Sprintf("%d.csv", i+1), body)
	}
	return zipped(named...)
}

func TestSMHIsMeanAndExtremesAreReadAsOne(t *testing.T) {
	mean := smhiFile("medelvärde 1 dygn, 1 gång/dygn, kl 00", "2031-05-01 00:00:01;2031-05-02 00:00:00;2031-05-01;5.0;Y", "2031-05-02 00:00:01;2031-05-03 00:00:00;2031-05-02;6.0;Y")
	low := smhiFile("min, 1 gång per dygn", "2031-04-30 18:00:01;2031-05-01 18:00:00;2031-05-01;-2.5;G", "2031-05-01 18:00:01;2031-05-02 18:00:00;2031-05-02;x;G")
	high := smhiFile("max, 1 gång per dygn", "2031-04-30 18:00:01;2031-05-01 18:00:00;2031-05-01;11.0;G")
	for _, row := range []struct {
		sentence string
		files    []string
		want     []weather.Day
		notes    string
	}{
		{"all three", []string{mean, low, high}, []weather.Day{day("2031-05-01", -2.5, 11, 5), day("2031-05-02", none, none, 6)}, "the extremes are of the day 18–18 UTC"},
		{"without a maximum", []string{mean, low}, []weather.Day{day("2031-05-01", -2.5, none, 5), day("2031-05-02", none, none, 6)}, "the mean is of 00–24 UTC"},
		{"a maximum without rows", []string{mean, smhiFile("max, 1 gång per dygn")}, []weather.Day{day("2031-05-01", none, none, 5), day("2031-05-02", none, none, 6)}, ""},
	} {
		b := parse(t, "smhi-metobs", files(row.files...), feed.Options{})
		sameDays(t, row.sentence, b.Days, row.want)
		if b.Window.String() != "00–24 UTC, dated by its start" || b.MeanOf != feed.MeanPublished || b.Station != "990010" {
			t.Errorf("%s: %+v", row.sentence, b)
		}
		if notes := strings.Join(b.Notes, "; "); !strings.Contains(notes, row.notes) || row.notes == "" && notes != "" {
			t.Errorf("%s: notes %q", row.sentence, notes)
		}
		if has := slices.Contains(row.files, low); has != (len(b.Rejects) == 1) {
			t.Errorf("%s: rejects %v", row.sentence, b.Rejects)
		}
	}
	refused(t, "nothing in any of them", "smhi-metobs", string(files(smhiFile("min, 1 gång per dygn"), smhiFile("max, 1 gång per dygn"))), feed.Options{}, "holds no value")
	other := strings.ReplaceAll(high, "990010", "990020")
	refused(t, "two stations", "smhi-metobs", string(files(mean, other)), feed.Options{}, "two stations")
}
