package weather_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// Faults of known place and kind are planted into real series, to count how
// many a judgement finds and how many good days it doubts. This file was
// written before the judgement and knows nothing of it.

// kind is what is wrong with a run of days.
type kind string

const (
	spike   kind = "spike"   // one day 8 to 20 K off, either way
	stuck   kind = "stuck"   // the same values for 4 to 12 days
	swapped kind = "swapped" // minimum and maximum of one day changed places
	inF     kind = "in °F"   // 1 to 30 days in degrees Fahrenheit
	shifted kind = "shifted" // 30 to 60 days under the date of the day after
	step    kind = "step"    // 60 days 5 K too warm or too cold
)

var kinds = []kind{spike, stuck, swapped, inF, shifted, step}

// fault is one that was planted.
type fault struct {
	Kind    kind
	Station string
	Days    civil.Range
}

// patience is within how many days from its first a fault must be found to
// count as found: what shows in one day is due on it, a drift may take weeks.
var patience = map[kind]int{spike: 1, stuck: 12, swapped: 1, inF: 10, shifted: 45, step: 30}

// aftermath is for how many days after its last day marks are put down to a
// fault: the way back is a step as well.
var aftermath = map[kind]int{spike: 1, stuck: 1, swapped: 0, inF: 1, shifted: 10, step: 10}

// planting is series with faults in them.
type planting struct {
	Series map[string][]weather.Day // by station, a day each, sorted
	Faults []fault
	dirt   map[string]map[civil.Date]bool // days of which the source itself can't be right
}

// apart is how many good days lie between two faults of a station at least.
const apart = 120

// plant puts n faults, of each kind as many, into copies of series.
func plant(series map[string][]weather.Day, n int, seed uint64) planting {
	chance := rand.New(rand.NewPCG(seed, 0x5eed))
	p := planting{Series: map[string][]weather.Day{}, dirt: map[string]map[civil.Date]bool{}}
	var stations []string
	for s, days := range series {
		stations = append(stations, s)
		p.Series[s] = slices.Clone(days)
		p.dirt[s] = map[civil.Date]bool{}
		for _, d := range days {
			if d.MinC > d.MaxC {
				p.dirt[s][d.Date] = true
			}
		}
	}
	slices.Sort(stations)
	for len(p.Faults) < n {
		k, station := kinds[len(p.Faults)%len(kinds)], stations[chance.IntN(len(stations))]
		days := p.Series[station]
		at := 400 + chance.IntN(len(days)-800)
		f := fault{Kind: k, Station: station, Days: civil.Range{First: days[at].Date, Last: days[at].Date + civil.Date(length(k, chance)-1)}}
		if p.free(f) && whole(days, at-apart, at+f.Days.Len()+apart) && spoil(days, at, f, chance) {
			p.Faults = append(p.Faults, f)
		}
	}
	return p
}

func length(k kind, chance *rand.Rand) int {
	switch k {
	case stuck:
		return 4 + chance.IntN(9)
	case inF:
		return 1 + chance.IntN(30)
	case shifted:
		return 30 + chance.IntN(31)
	case step:
		return 60
	}
	return 1
}

// free reports whether a fault lies far from all others of its station.
func (p planting) free(f fault) bool {
	for _, g := range p.Faults {
		if g.Station == f.Station && f.Days.First <= g.Days.Last+apart && g.Days.First <= f.Days.Last+apart {
			return false
		}
	}
	return true
}

// whole reports whether nearly all days of a stretch have both extremes, so
// that there is something to find a fault by.
func whole(days []weather.Day, from, to int) bool {
	if from < 0 || to > len(days) || int(days[to-1].Date-days[from].Date) != to-1-from {
		return false
	}
	missing := 0
	for _, d := range days[from:to] {
		if math.IsNaN(d.MinC) || math.IsNaN(d.MaxC) || d.MinC > d.MaxC {
			missing++
		}
	}
	return missing == 0
}

// spoil changes the days of a fault; false where it would change nothing to
// speak of.
func spoil(days []weather.Day, at int, f fault, chance *rand.Rand) bool {
	n := f.Days.Len()
	off := func(i int, k float64) {
		days[i].MinC, days[i].MaxC, days[i].MeanC = tenth(days[i].MinC+k), tenth(days[i].MaxC+k), tenth(days[i].MeanC+k)
	}
	sign := float64(1 - 2*chance.IntN(2))
	switch f.Kind {
	case spike:
		off(at, sign*(8+12*chance.Float64()))
	case stuck:
		for i := at + 1; i < at+n; i++ {
			days[i].MinC, days[i].MaxC, days[i].MeanC = days[at].MinC, days[at].MaxC, days[at].MeanC
		}
	case swapped:
		if days[at].MinC == days[at].MaxC {
			return false
		}
		days[at].MinC, days[at].MaxC = days[at].MaxC, days[at].MinC
	case inF:
		for i := at; i < at+n; i++ {
			for _, c := range []*float64{&days[i].MinC, &days[i].MaxC, &days[i].MeanC} {
				*c = tenth(*c*1.8 + 32)
			}
		}
	case shifted:
		for i := at + n - 1; i >= at; i-- {
			date := days[i].Date
			days[i] = days[i-1]
			days[i].Date = date
		}
	case step:
		for i := at; i < at+n; i++ {
			off(i, 5*sign)
		}
	}
	return true
}

func tenth(c float64) float64 { return math.Round(c*10) / 10 }

// tally is how a judgement fared.
type tally struct {
	Planted, Caught map[kind]int
	Missed          []fault
	Days, False     int // good days, and those of them that were doubted
}

// against counts what marks found, given by station and day: a mark of any
// wording counts.
func (p planting) against(marked map[string]map[civil.Date]bool) tally {
	t := tally{Planted: map[kind]int{}, Caught: map[kind]int{}}
	touched := map[string]map[civil.Date]bool{}
	for s := range p.Series {
		touched[s] = map[civil.Date]bool{}
	}
	for _, f := range p.Faults {
		t.Planted[f.Kind]++
		found := false
		for d := f.Days.First; d <= f.Days.Last+civil.Date(aftermath[f.Kind]); d++ {
			touched[f.Station][d] = true
			found = found || d <= f.Days.Last && int(d-f.Days.First) < patience[f.Kind] && marked[f.Station][d]
		}
		if found {
			t.Caught[f.Kind]++
		} else {
			t.Missed = append(t.Missed, f)
		}
	}
	for s, days := range p.Series {
		for _, d := range days {
			missing := math.IsNaN(d.MinC) && math.IsNaN(d.MaxC) && math.IsNaN(d.MeanC)
			if missing || touched[s][d.Date] || p.dirt[s][d.Date] {
				continue
			}
			t.Days++
			if marked[s][d.Date] {
				t.False++
			}
		}
	}
	return t
}

func (t tally) share() float64 {
	var planted, caught int
	for k, n := range t.Planted {
		planted, caught = planted+n, caught+t.Caught[k]
	}
	return float64(caught) / float64(planted)
}

func (t tally) String() string {
	out := fmt.Sprintf("%.1f %% caught, %d of %d good days doubted (%.3f %%)", 100*t.share(), t.False, t.Days, 100*float64(t.False)/float64(t.Days))
	for _, k := range kinds {
		out += fmt.Sprintf(", %s %d/%d", k, t.Caught[k], t.Planted[k])
	}
	return out
}

// hubbardBrook reads the six stations of one valley.
func hubbardBrook(t testing.TB) map[string][]weather.Day {
	t.Helper()
	dir := os.Getenv("BUDCALL_SHARED")
	if dir == "" {
		dir = "../../../shared"
	}
	series := map[string][]weather.Day{}
	for _, code := range []string{"HQ", "STA1", "STA6", "STA14", "STA17", "STA23"} {
		f, err := os.Open(filepath.Join(dir, "data", "daily_hubbard_brook_"+code+".csv"))
		if err != nil {
			t.Skipf("the open series aren't here: set BUDCALL_SHARED to their folder (%v)", err)
		}
		rows, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range rows[1:] {
			series[code] = append(series[code], weather.Day{Date: civil.MustParse(row[0]), MinC: celsius(row[1]), MaxC: celsius(row[2]), MeanC: celsius(row[3])})
		}
	}
	return series
}

func celsius(field string) float64 {
	c, err := strconv.ParseFloat(field, 64)
	if err != nil {
		return math.NaN()
	}
	return c
}

func TestFaultsArePlantedAsSaid(t *testing.T) {
	clean := hubbardBrook(t)
	p := plant(clean, 200, 1)
	if again := plant(clean, 200, 1); fmt.Sprint(again.Faults) != fmt.Sprint(p.Faults) {
		t.Error("the same seed plants other faults")
	}
	changed := map[string]map[civil.Date]bool{}
	for s, days := range p.Series {
		changed[s] = map[civil.Date]bool{}
		for i, d := range days {
			changed[s][d.Date] = fmt.Sprint(d) != fmt.Sprint(clean[s][i])
		}
	}
	all := p.against(changed)
	if len(p.Faults) != 200 || all.share() != 1 || all.False != 0 {
		t.Errorf("somebody who knew every changed day would have: %s; %v", all, all.Missed)
	}
	if none := p.against(nil); none.share() != 0 || none.False != 0 {
		t.Errorf("somebody who doubted nothing would have: %s", none)
	}
}
