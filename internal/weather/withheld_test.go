package weather_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// hubbardBrookM are the stations' heights above sea level, in metres (US Forest
// Service, Hubbard Brook; from memory).
var hubbardBrookM = map[string]float64{"HQ": 253, "STA1": 488, "STA6": 747, "STA14": 728, "STA17": 891, "STA23": 670}

// baseC is above which withheld days are summed.
const baseC = 5

// withheld is what filled days erred by in gaps of a length, beside what was
// stated.
type withheld struct {
	days                   int
	meanK, sdK, statedK    float64 // of the mean over the gap
	meanCd, sdCd, statedCd float64 // of the heat over the gap
	gaps                   int
}

func (w withheld) String() string {
	return fmt.Sprintf("%2d days: mean %+.2f K, SD %.2f, stated %.2f (%+.0f %%); heat %+.2f °C·d, SD %.2f, stated %.2f (%+.0f %%); %d gaps",
		w.days, w.meanK, w.sdK, w.statedK, 100*(w.statedK/w.sdK-1), w.meanCd, w.sdCd, w.statedCd, 100*(w.statedCd/w.sdCd-1), w.gaps)
}

// span gives the days of a range that are in sorted days.
func span(days []weather.Day, from, before civil.Date) []weather.Day {
	at := func(d civil.Date) int {
		i, _ := slices.BinarySearchFunc(days, d, func(a weather.Day, d civil.Date) int { return int(a.Date - d) })
		return i
	}
	return days[at(from):at(before)]
}

// heatOver is the heat of days above baseC, and the weights of their errors in
// it.
func heatOver(days []weather.SiteDay) (heatCd float64, weights []float64, doubts []weather.Doubt) {
	for _, d := range days {
		c, _, _ := d.Day.Mean()
		heatCd += max(0, c-baseC)
		sd := d.Doubt.SDK()
		weights = append(weights, (max(0, c+sd-baseC)-max(0, c-sd-baseC))/max(1e-9, 2*sd))
		doubts = append(doubts, d.Doubt)
	}
	return heatCd, weights, doubts
}

// withhold takes a station's springs of every third year away from it, gap by
// gap, fills them from another by what was known before the year, and compares.
func withhold(own, other weather.Series, years civil.Range) []withheld {
	out := make([]withheld, len(gapLengths))
	for y := years.First.Year(); y <= years.Last.Year(); y += 3 {
		newYear := civil.Of(y, 1, 1)
		before := func(s weather.Series) weather.Series {
			s.Days = span(s.Days, 0, newYear)
			return s
		}
		stead, ok := weather.FitStead(before(own), before(other))
		if !ok {
			continue
		}
		lender := other
		lender.Stead = &stead
		for i, days := range gapLengths {
			out[i].days = days
			for from := civil.Of(y, 3, 20); from+civil.Date(days) <= civil.Of(y, 6, 11); from += civil.Date(days) {
				out[i].gap(own, lender, civil.Range{First: from, Last: from + civil.Date(days) - 1})
			}
		}
	}
	for i := range out {
		w := &out[i]
		n := float64(w.gaps)
		w.meanK, w.meanCd = w.meanK/n, w.meanCd/n
		w.sdK, w.statedK, w.sdCd, w.statedCd = math.Sqrt(w.sdK/n), math.Sqrt(w.statedK/n), math.Sqrt(w.sdCd/n), math.Sqrt(w.statedCd/n)
	}
	return out
}

func (w *withheld) gap(own, lender weather.Series, gap civil.Range) {
	silent := own
	silent.Days = nil
	filled := weather.Site{AltitudeM: own.AltitudeM, MaxGapDays: 60, Ranked: []weather.Series{silent, lender}}.Fill(gap)
	real := weather.Site{AltitudeM: own.AltitudeM, Ranked: []weather.Series{own}}.Fill(gap)
	var apart float64
	for i := range filled {
		a, _, ok := filled[i].Day.Mean()
		b, _, there := real[i].Day.Mean()
		if !ok || !there {
			return
		}
		apart += (a - b) / float64(w.days)
	}
	heat, weights, doubts := heatOver(filled)
	realHeat, _, _ := heatOver(real)
	var stated float64
	for i, e := range weather.Together(doubts, weights) {
		stated += weights[i] * e
	}
	sd := doubts[0].MeanSDK(w.days)
	w.gaps++
	w.meanK, w.sdK, w.statedK = w.meanK+apart, w.sdK+apart*apart, w.statedK+sd*sd
	w.meanCd, w.sdCd, w.statedCd = w.meanCd+heat-realHeat, w.sdCd+(heat-realHeat)*(heat-realHeat), w.statedCd+stated*stated
}

// pool is the mean over several.
func pool(all []withheld) (p withheld) {
	for _, w := range all {
		n := float64(w.gaps)
		p.days, p.gaps = w.days, p.gaps+w.gaps
		p.meanK, p.meanCd = p.meanK+n*w.meanK, p.meanCd+n*w.meanCd
		p.sdK, p.statedK, p.sdCd, p.statedCd = p.sdK+n*w.sdK*w.sdK, p.statedK+n*w.statedK*w.statedK, p.sdCd+n*w.sdCd*w.sdCd, p.statedCd+n*w.statedCd*w.statedCd
	}
	n := float64(p.gaps)
	p.meanK, p.meanCd = p.meanK/n, p.meanCd/n
	p.sdK, p.statedK, p.sdCd, p.statedCd = math.Sqrt(p.sdK/n), math.Sqrt(p.statedK/n), math.Sqrt(p.sdCd/n), math.Sqrt(p.statedCd/n)
	return p
}

// held tells what is wrong with a statement.
func (w withheld) held(meanSDs, share float64) string {
	var wrong []string
	off := func(stated, sd float64) bool { return math.Abs(stated/sd-1) > share }
	if math.Abs(w.meanK) > meanSDs*w.sdK || math.Abs(w.meanCd) > meanSDs*w.sdCd {
		wrong = append(wrong, "the mean error isn't near 0")
	}
	if off(w.statedK, w.sdK) {
		wrong = append(wrong, "the error of the mean isn't as stated")
	}
	if off(w.statedCd, w.sdCd) {
		wrong = append(wrong, "the error of the heat isn't as stated")
	}
	return strings.Join(wrong, ", ")
}

var gapLengths = []int{1, 3, 7, 14, 30}

// Real days of Hubbard Brook's six stations are withheld and filled from each of
// the other five, of 1985 to 2021: over all of them the mean error is within a
// fifth of its standard deviation, and that within 20 % of what was stated.
func TestWithheldDaysOfRealStations(t *testing.T) {
	all := hubbardBrook(t)
	years := civil.Range{First: civil.Of(1985, 1, 1), Last: civil.Of(2023, 1, 1)}
	pairs := make([][]withheld, len(gapLengths))
	for own, ownM := range hubbardBrookM {
		for other, otherM := range hubbardBrookM {
			if own == other {
				continue
			}
			for i, w := range withhold(weather.Series{Station: own, AltitudeM: ownM, Days: all[own]},
				weather.Series{Station: other, AltitudeM: otherM, Days: all[other], ErrSDC: weather.ErrorSDC(3, ownM-otherM)}, years) {
				pairs[i] = append(pairs[i], w)
			}
		}
	}
	for _, of := range pairs {
		w := pool(of)
		t.Log(w)
		if wrong := w.held(0.2, 0.2); wrong != "" {
			t.Errorf("%s: %s", wrong, w)
		}
	}
}

// The same on two stations of our own making, whose differences are made of
// what a doubt is made of.
func TestWithheldDaysOfInventedStations(t *testing.T) {
	years := civil.Range{First: civil.Of(2004, 1, 1), Last: civil.Of(2060, 1, 1)}
	own, other := kindred(60)
	for _, w := range withhold(own, other, years) {
		t.Log(w)
		if wrong := w.held(0.3, 0.2); wrong != "" {
			t.Errorf("%s: %s", wrong, w)
		}
	}
}

// kindred gives two stations with an offset of 2 K, 1 K less in January, and
// differences of 1.0 K of single days, 0.9 K of spells and 0.7 K of years.
func kindred(years int) (own, other weather.Series) {
	own, other = weather.Series{Station: "OWN", AltitudeM: 300}, weather.Series{Station: "OTHER", AltitudeM: 300, ErrSDC: 1.5}
	chance := rand.New(rand.NewPCG(31, 4))
	var spellK, weatherK, levelK float64
	for d := civil.Of(2001, 1, 1); d < civil.Of(2001+years, 1, 1); d++ {
		if d.YearDay() == 1 {
			levelK = 0.7 * chance.NormFloat64()
		}
		cos := math.Cos(2 * math.Pi * float64(d.YearDay()-1) / 365.25)
		spellK = weather.SpellPersists*spellK + 0.9*math.Sqrt(1-weather.SpellPersists*weather.SpellPersists)*chance.NormFloat64()
		weatherK = 0.7*weatherK + 3*chance.NormFloat64()
		c := 5 - 12*cos + weatherK
		read := func(s *weather.Series, c float64) {
			s.Days = append(s.Days, weather.Day{Date: d, MinC: c - 5, MaxC: c + 5, MeanC: c})
		}
		read(&other, c)
		read(&own, c+2-cos+levelK+spellK+chance.NormFloat64())
	}
	return own, other
}
