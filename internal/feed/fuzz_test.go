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
	fuzz(f, "open-meteo", []feed.Options{{}, {Location: 2}}, "open-meteo/invented.json", "open-meteo/invented_two_places.json")
}

func FuzzMetno(f *testing.F) {
	f.Add(forecast(line(3, 0, 6, 12, 18, 24)...), uint8(0))
	f.Add(forecast("05-03T00 5 9 1", "05-03T06", "05-03T07 6"), uint8(1))
	fuzz(f, "metno", []feed.Options{{Zone: time.UTC}, {Zone: time.FixedZone("UTC-11", -11*3600)}}, "metno/invented_complete.json")
}
