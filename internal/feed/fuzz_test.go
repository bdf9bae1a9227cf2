package feed_test

import (
	"bytes"
	"errors"
	"testing"
	"time"

	"budcall/internal/feed"
)

// fuzz holds a format to this: no panic on any bytes, either days or a
// refusal, and never both.
func fuzz(f *testing.F, format string, opts []feed.Options, seeds ...string) {
	for _, s := range seeds {
		for i := range opts {
			f.Add(sample(f, s), uint8(i))
		}
	}
	f.Fuzz(func(t *testing.T, body []byte, which uint8) {
		b, err := feed.Parse(format, bytes.NewReader(body), opts[int(which)%len(opts)])
		var r *feed.Refusal
		switch {
		case err == nil:
			checkBatch(t, b)
		case !errors.As(err, &r):
			t.Errorf("an error that is no refusal: %v", err)
		case len(b.Days) > 0 || r.What == "" || r.Cure == "":
			t.Errorf("half accepted: %+v, %+v", b, r)
		}
	})
}

func FuzzDelimited(f *testing.F) {
	fuzz(f, "delimited", []feed.Options{
		{},
		{Unit: "C", Decimal: ",", DateLayout: "DD.MM.YYYY", Missing: []string{"-200"}, Columns: map[string]string{"date": "1", "tmin": "2", "tmax": "3"}},
		{Unit: "F", DateLayout: "YYYYMMDD", Columns: map[string]string{"date": "2", "tmean": "3"}},
	}, "delimited/plain.csv", "delimited/logger_day.csv", "delimited/headerless.csv", "delimited/fahrenheit_latin1.txt")
}

func FuzzGHCNDaily(f *testing.F) {
	fuzz(f, "ghcn-daily", []feed.Options{{}, {Station: "ZZX00000002"}},
		"ghcn-daily/invented.dly", "ghcn-daily/damaged.dly", "ghcn-daily/two_stations.dly")
}

func FuzzOpenMeteo(f *testing.F) {
	fuzz(f, "open-meteo", []feed.Options{{}, {Location: 2}, {Zone: time.UTC}, {ReadingsOnly: true}},
		"open-meteo/invented.json", "open-meteo/invented_two_places.json", "open-meteo/clean.json", "open-meteo/dirty.json", "open-meteo/edge.json")
}

func FuzzMetno(f *testing.F) {
	f.Add(forecast(line(3, 0, 6, 12, 18, 24)...), uint8(0))
	f.Add(forecast("05-03T00 5 9 1", "05-03T06", "05-03T07 6"), uint8(1))
	fuzz(f, "metno", []feed.Options{{Zone: time.UTC}, {Zone: time.FixedZone("UTC-11", -11*3600)}}, "metno/invented_complete.json", "metno/clean.json", "metno/dirty.json", "metno/edge.json")
}

func FuzzGHCNCSV(f *testing.F) {
	fuzz(f, "ghcn-csv", []feed.Options{{}, {Station: "ZZE00000002"}}, "ghcn-csv/clean.csv", "ghcn-csv/dirty.csv", "ghcn-csv/edge.csv")
}

func FuzzGHCNAccess(f *testing.F) {
	fuzz(f, "ghcn-access", []feed.Options{{}}, "ghcn-access/clean.csv", "ghcn-access/dirty.csv", "ghcn-access/edge.csv")
}

func FuzzGHCNCDO(f *testing.F) {
	fuzz(f, "ghcn-cdo", []feed.Options{{Unit: "F"}, {Unit: "C"}}, "ghcn-cdo/clean.txt", "ghcn-cdo/dirty.txt", "ghcn-cdo/edge.txt")
}

func FuzzGHCNStations(f *testing.F) {
	fuzz(f, "ghcn-stations", []feed.Options{{}}, "ghcn-stations/clean.txt", "ghcn-stations/dirty.txt", "ghcn-stations/edge.txt")
}

func FuzzDWDDaily(f *testing.F) {
	fuzz(f, "dwd-daily", []feed.Options{{}, {Station: "77"}}, "dwd-daily/clean.txt", "dwd-daily/dirty.txt", "dwd-daily/edge.zip")
}

// FuzzDWDZip fuzzes the texts of the zip, which a fuzzed zip would not reach.
func FuzzDWDZip(f *testing.F) {
	f.Add("Stations_ID;Von_Datum;Bis_Datum;Stationsname;Parameter;Zusatz-Info;eor\n77;19480101;20010331;X;TXK;21:30 VT. - 21:30 MEZ (bis 1986 MOZ);eor\n77;20010401;20320301;X;TMK;arithm.Mittel;eor\n",
		"STATIONS_ID;MESS_DATUM;QN_4;TMK;TXK;TNK;eor\n77;19861231;5;6;12;2;eor\n77;20320229;3;6;12;2;eor\n")
	f.Fuzz(func(t *testing.T, meta, product string) {
		b, err := feed.Parse("dwd-daily", bytes.NewReader(zipped("Metadaten_Parameter_klima_tag_00077.txt", meta, "produkt_klima_tag_00077.txt", product)), feed.Options{})
		if err == nil {
			checkBatch(t, b)
			for i, e := range b.Eras {
				if e.Days.Len() < 1 || i > 0 && e.Days.First <= b.Eras[i-1].Days.Last {
					t.Errorf("%+v", b.Eras)
				}
			}
		}
	})
}

func FuzzDWDStations(f *testing.F) {
	fuzz(f, "dwd-stations", []feed.Options{{}}, "dwd-stations/clean.txt", "dwd-stations/dirty.txt", "dwd-stations/edge.txt")
}

func FuzzKNMI(f *testing.F) {
	fuzz(f, "knmi", []feed.Options{{}, {Station: "999"}}, "knmi/clean.txt", "knmi/dirty.txt", "knmi/edge.txt")
}

func FuzzECAD(f *testing.F) {
	fuzz(f, "ecad", []feed.Options{{}}, "ecad/clean.txt", "ecad/dirty.txt", "ecad/edge.txt")
}

func FuzzECCC(f *testing.F) {
	fuzz(f, "eccc", []feed.Options{{}}, "eccc/clean.csv", "eccc/dirty.csv", "eccc/edge.csv")
}

func FuzzMeteoSwiss(f *testing.F) {
	fuzz(f, "meteoswiss", []feed.Options{{Zone: time.UTC}, {Station: "ZZZ", ReadingsOnly: true}}, "meteoswiss/clean.csv", "meteoswiss/dirty.csv", "meteoswiss/edge.csv")
}

func FuzzLogger(f *testing.F) {
	fuzz(f, "logger", []feed.Options{
		{Zone: time.UTC, Clock: "UTC"},
		{Window: feed.Window{StartHour: 19, EndHour: 18, Zone: "UTC+02:00", Label: feed.LabelEnd}, Clock: "UTC-05:00", Unit: "C", Columns: map[string]string{"time": "2", "temp": "4", "error": "9", "zone": "3"}},
		{ReadingsOnly: true, DateLayout: "YY.MM.DD", Decimal: ".", Missing: []string{"-200"}},
	}, "logger/clean.csv", "logger/dirty.csv", "logger/edge.txt", "logger/headerless.csv")
}

func FuzzGHCNInventory(f *testing.F) {
	fuzz(f, "ghcn-inventory", []feed.Options{{}}, "ghcn-inventory/clean.txt", "ghcn-inventory/dirty.txt", "ghcn-inventory/edge.txt")
}

func FuzzMeteoSwissStations(f *testing.F) {
	fuzz(f, "meteoswiss-stations", []feed.Options{{}}, "meteoswiss-stations/clean.csv", "meteoswiss-stations/dirty.csv", "meteoswiss-stations/edge.csv")
}

func FuzzMeteoSwissInventory(f *testing.F) {
	fuzz(f, "meteoswiss-inventory", []feed.Options{{}}, "meteoswiss-inventory/clean.csv", "meteoswiss-inventory/dirty.csv", "meteoswiss-inventory/edge.csv")
}

func FuzzECADStations(f *testing.F) {
	fuzz(f, "ecad-stations", []feed.Options{{}}, "ecad-stations/clean.txt", "ecad-stations/dirty.txt", "ecad-stations/edge.txt")
}
