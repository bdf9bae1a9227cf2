package weather_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

func TestWhatAnOverlapTellsOfAStead(t *testing.T) {
	own, other := kindred(7)
	newest := func(days int) weather.Series {
		s := own
		s.Days = s.Days[len(s.Days)-days:]
		return s
	}
	broken := newest(6 * 365)
	broken.Days = append([]weather.Day(nil), broken.Days...)
	for i := 3; i < len(broken.Days); i += 40 { // one in forty days is 15 K off
		broken.Days[i].MeanC += 15
	}
	high := other
	high.AltitudeM = 500
	lost := other
	lost.AltitudeM = math.NaN()
	for _, row := range []struct {
		sentence           string
		own, other         weather.Series
		ok                 bool
		januaryK, julyK    float64 // 2 − 1 and 2 + 1, as they were made
		withinK, sdK, sdTo float64
	}{
		// √(1.0² + 0.9² + 0.7²) = 1.52 and 0.35 for the drift: 1.56 (computed by hand)
		{"years side by side give the offset by season and the error", newest(6 * 365), other, true, 1, 3, 0.6, 1.56, 0.2},
		{"whatever the altitude would have given", newest(6 * 365), high, true, 1, 3, 0.7, 1.56, 0.2},
		{"and where it isn't known", newest(6 * 365), lost, true, 1, 3, 0.7, 1.56, 0.2},
		{"broken days move nothing", broken, other, true, 1, 3, 0.6, 1.56, 0.25},
		{"two months are drawn to what altitude gives", newest(60), other, true, 0, 0, 2, 1.9, 0.6},
		{"fewer days tell nothing", newest(59), other, false, 0, 0, 0, 0, 0},
	} {
		s, ok := weather.FitStead(row.own, row.other)
		if ok != row.ok {
			t.Errorf("%s: fitted %v on %d days", row.sentence, ok, s.OverlapDays)
		}
		if !ok {
			continue
		}
		jan, jul := s.OffsetK(civil.Of(2008, 1, 1)), s.OffsetK(civil.Of(2008, 7, 2))
		if math.Abs(jan-row.januaryK) > row.withinK || math.Abs(jul-row.julyK) > row.withinK {
			t.Errorf("%s: %.2f K in January, %.2f in July", row.sentence, jan, jul)
		}
		if sd := s.Doubt(civil.Of(2008, 4, 15)).SDK(); math.Abs(sd-row.sdK) > row.sdTo {
			t.Errorf("%s: stated %.2f K", row.sentence, sd)
		}
	}
}

// By hand: of two days in a row that are doubted by 1, 2 and 3 K in the three
// parts, the mean errs by √(9 + 4·(2 + 2·0.9)/4 + 1/2) = √13.3.
func TestLongGapsDoNotErrLessByTheRootOfTheirDays(t *testing.T) {
	d := weather.Doubt{DayK: 1, SpellK: 2, LevelK: 3}
	if got := d.MeanSDK(2); math.Abs(got-math.Sqrt(13.3)) > 1e-12 {
		t.Errorf("%v", got)
	}
	if got := d.MeanSDK(1); math.Abs(got-math.Sqrt(14)) > 1e-12 || math.Abs(d.SDK()-got) > 1e-12 {
		t.Errorf("%v", got)
	}
	if weather.Together([]weather.Doubt{{}, {}}, []float64{1, 1}) != nil || weather.Together(nil, nil) != nil {
		t.Error("no doubt has a shift")
	}
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.Float64Range(0, 3)
		d := weather.Doubt{DayK: k.Draw(t, "day"), SpellK: k.Draw(t, "spell"), LevelK: k.Draw(t, "level") + 0.01}
		n := rapid.IntRange(1, 60).Draw(t, "days")
		doubts, ones := make([]weather.Doubt, n), make([]float64, n)
		for i := range doubts {
			doubts[i], ones[i] = d, 1
		}
		sum := 0.0
		for _, e := range weather.Together(doubts, ones) {
			sum += e
		}
		if want := float64(n) * d.MeanSDK(n); math.Abs(sum-want) > 1e-9*want {
			t.Fatalf("the sum over %d days errs by %v, their mean by %v of that", n, sum, want)
		}
		if d.MeanSDK(n+1) > d.MeanSDK(n)+1e-12 || d.MeanSDK(n+1)*float64(n+1) < d.MeanSDK(n)*float64(n)-1e-12 {
			t.Fatalf("%d days: a longer gap's mean errs more, or its sum less", n)
		}
	})
}

// A substitute's day is what is expected of the first station, carried on to
// the site: 7 + 2 + 1 (July) at 300 m is 10 − 1.3 at 500 m.
func TestASubstituteStandsForTheFirstStation(t *testing.T) {
	own, other := kindred(7)
	stead, ok := weather.FitStead(own, other)
	if !ok {
		t.Fatal("not fitted")
	}
	july := civil.Of(2008, 7, 2)
	day := weather.Day{Date: july, MinC: 1, MaxC: 13, MeanC: math.NaN()} // a mid-range of 7
	silent, lender := own, other
	silent.Days, lender.Days, lender.Stead = nil, []weather.Day{day}, &stead
	lender.AltitudeM = 4000 // known, but the overlap tells better
	got := weather.Site{AltitudeM: 500, MaxGapDays: 3, Ranked: []weather.Series{silent, lender}}.Fill(civil.Range{First: july, Last: july})[0]
	c, _, _ := got.Day.Mean()
	if want := 7 + stead.OffsetK(july) - 1.3; math.Abs(c-want) > 1e-9 || !got.Substitute || got.Doubt != stead.Doubt(july) || math.Abs(got.ErrSDC-got.Doubt.SDK()) > 1e-12 {
		t.Errorf("%.2f °C, want %.2f: %+v", c, want, got)
	}
	own.Days = []weather.Day{day}
	if read := (weather.Site{AltitudeM: 300, MaxGapDays: 3, Ranked: []weather.Series{own, lender}}).Fill(civil.Range{First: july, Last: july})[0]; read.Doubt != (weather.Doubt{}) || read.Substitute {
		t.Errorf("a reading is doubted: %+v", read)
	}
}
