package feed_test

import (
	"archive/zip"
	"bytes"
	"strings"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/feed"
	"budcall/internal/weather"
)

func TestDWDDaysOfOurOwn(t *testing.T) {
	b := parse(t, "dwd-daily", sample(t, "dwd-daily/clean.txt"), feed.Options{})
	sameDays(t, "clean", b.Days[:1], []weather.Day{day("2031-05-01", -1.5, 12.2, 6.1)})
	if b.Station != "77" || len(b.Days) != 4 || b.Window.Stated() || len(b.Notes) != 1 || b.MeanOf != feed.MeanPublished || b.Winds[0].GustMS != 10.1 || b.Winds[0].MeanMS != 3.2 {
		t.Errorf("%+v", b)
	}
	stated := feed.Window{EndHour: 24, Zone: "UTC", Label: feed.LabelStart}
	if b = parse(t, "dwd-daily", sample(t, "dwd-daily/clean.txt"), feed.Options{Window: stated, Station: "00077"}); b.Window != stated || len(b.Notes) != 0 || len(b.Days) != 4 {
		t.Errorf("%+v", b)
	}
	b = parse(t, "dwd-daily", sample(t, "dwd-daily/dirty.txt"), feed.Options{})
	sameDays(t, "dirty", b.Days, []weather.Day{day("2031-05-01", -1.5, 12.2, 6.1), day("2031-05-02", none, none, none),
		day("2031-05-04", 1.5, 15.2, 9), marked(day("2031-05-05", 2.5, 16.2, 10), weather.Conflict)})
	sameRejects(t, b.Rejects, map[int]string{4: `TXK "x"`, 5: "no date", 6: "higher quality level in line 2", 7: "higher quality level in line 8", 10: "says otherwise",
		11: "has 3 fields", 13: `TMK "11,5"`, 14: "the header stands here again"})
	flagsAre(t, b.Flags, map[string]int{"QN_4 1": 1, "QN_4 3": 4, "QN_4 10": 2})
	if b.MissingValues != 3 || len(b.Winds) != 3 {
		t.Errorf("%d missing, %v", b.MissingValues, b.Winds)
	}
	two := string(sample(t, "dwd-daily/clean.txt")) + strings.Split(string(sample(t, "dwd-daily/clean.txt")), "\r\n")[1][:8] + "78;20310601;;;;;;;;;;;;1;;2;0;;eor\r\n"
	refused(t, "two stations", "dwd-daily", two, feed.Options{}, "77")
	refused(t, "rain", "dwd-daily", "STATIONS_ID;MESS_DATUM;QN_6;  RS; RSF;eor\r\n77;20310501;1;0.0;0;eor\r\n", feed.Options{}, "line 1", "RS (precipitation)")
	refused(t, "radiation", "dwd-daily", "STATIONS_ID;MESS_DATUM;QN_592;ATMO_STRAHL;FD_LBERG;FG_STRAHL;eor\r\n", feed.Options{}, "FG_STRAHL (radiation)")
	refused(t, "hours", "dwd-daily", "STATIONS_ID;MESS_DATUM;QN_9;TT_TU;RF_TU;eor\r\n", feed.Options{}, "TT_TU (hourly temperature)")
}

func TestTheZipOfDWDSaysWhatADayIs(t *testing.T) {
	body := sample(t, "dwd-daily/edge.zip")
	b := parse(t, "dwd-daily", body, feed.Options{})
	cet, lmt := "UTC+01:00", "local mean time"
	formula, hourly := "TMK=(TT1+TT2+(TT3*2))/4", "arithm.Mittel aus mind. 21 Stundenwerten"
	want := []feed.Era{
		{Days: civil.Range{First: civil.MustParse("1986-12-31"), Last: civil.MustParse("1986-12-31")}, MeanRule: formula, Window: feed.Window{StartHour: 21, StartMinute: 30, EndHour: 21, EndMinute: 30, Zone: lmt, Label: feed.LabelEnd}},
		{Days: civil.Range{First: civil.MustParse("1987-01-01"), Last: civil.MustParse("2001-03-31")}, MeanRule: formula, Window: feed.Window{StartHour: 21, StartMinute: 30, EndHour: 21, EndMinute: 30, Zone: cet, Label: feed.LabelEnd}},
		{Days: civil.Range{First: civil.MustParse("2001-04-01"), Last: civil.MustParse("2032-02-29")}, MeanRule: hourly, Window: feed.Window{EndHour: 24, Zone: "UTC", Label: feed.LabelStart}},
	}
	if len(b.Eras) != len(want) || b.Window.Stated() || len(b.Notes) != 1 {
		t.Fatalf("%+v", b)
	}
	for i, e := range b.Eras {
		e.Said = ""
		if e != want[i] {
			t.Errorf("%+v\nwant %+v", e, want[i])
		}
	}
	if len(b.Days) != 5 || b.Days[4].MeanC != 6.4 || b.Days[4].Date.String() != "2032-02-29" {
		t.Errorf("%v", b.Days)
	}

	repack := func(change func(name, text string) (string, bool)) []byte {
		var out bytes.Buffer
		z, w := must(zip.NewReader(bytes.NewReader(body), int64(len(body)))), zip.NewWriter(&out)
		for _, f := range z.File {
			var text bytes.Buffer
			text.ReadFrom(must(f.Open()))
			if changed, keep := change(f.Name, text.String()); keep {
				must(w.Create(f.Name)).Write([]byte(changed))
			}
		}
		w.Close()
		return out.Bytes()
	}
	late := parse(t, "dwd-daily", repack(func(name, text string) (string, bool) {
		lines := strings.SplitAfter(text, "\r\n")
		if strings.HasPrefix(name, "produkt") {
			return lines[0] + lines[4] + lines[5], true
		}
		return text, true
	}), feed.Options{})
	if late.Window != want[2].Window || len(late.Eras) != 1 || len(late.Notes) != 0 {
		t.Errorf("days of one definition only: %+v", late)
	}
	silent := parse(t, "dwd-daily", repack(func(name, text string) (string, bool) { return text, !strings.HasPrefix(name, "Metadaten_Parameter") }), feed.Options{})
	if silent.Window.Stated() || len(silent.Notes) != 1 || !strings.Contains(silent.Notes[0], "doesn't say") {
		t.Errorf("a zip without the metadata: %+v", silent.Notes)
	}
	strange := parse(t, "dwd-daily", repack(func(name, text string) (string, bool) {
		return strings.ReplaceAll(text, "00:00 - 24:00 UTC gemessen", "nach Ortsgebrauch"), true
	}), feed.Options{})
	if e := strange.Eras[2]; e.Window.Stated() || e.Said != "nach Ortsgebrauch" {
		t.Errorf("words that aren't understood: %+v", e)
	}
	refused(t, "no product", "dwd-daily", string(repack(func(name, text string) (string, bool) { return text, !strings.HasPrefix(name, "produkt") })), feed.Options{}, "0 files produkt_klima_tag")
	refused(t, "a product of something else", "dwd-daily", string(repack(func(name, text string) (string, bool) {
		return strings.NewReplacer("TMK", "XXX", "TXK", "YYY").Replace(text), true
	})), feed.Options{}, "no temperature")
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func TestDWDStationList(t *testing.T) {
	b := parse(t, "dwd-stations", sample(t, "dwd-stations/clean.txt"), feed.Options{})
	want := feed.StationEntry{ID: "00001", Name: "Erfunden", Region: "Baden-Württemberg", Place: feed.Place{LatitudeDeg: 47.8413, LongitudeDeg: 8.8493, AltitudeM: 478},
		First: civil.MustParse("1937-01-01"), Last: civil.MustParse("1986-06-30")}
	if len(b.Stations) != 2 || b.Stations[0] != want || b.Stations[1].Name != "Dorf (Landeplatz)" {
		t.Errorf("%+v", b.Stations)
	}
	b = parse(t, "dwd-stations", sample(t, "dwd-stations/dirty.txt"), feed.Options{})
	sameRejects(t, b.Rejects, map[int]string{4: "no station number", 5: `"18911301" is no first day`, 6: `"2o2" is no height`})
	b = parse(t, "dwd-stations", sample(t, "dwd-stations/edge.txt"), feed.Options{})
	if s := b.Stations[0]; s.Name != "Bad Ort, Kr. Stadt (Süd)" || s.Region != "Mecklenburg-Vorpommern" || s.Place.AltitudeM != -1 {
		t.Errorf("%+v", s)
	}
	refused(t, "another format", "dwd-stations", "ID;NAME\n1;2\n", feed.Options{}, "no station list of DWD")
}
