package advance_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"budcall/internal/advance"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/season"
	"budcall/internal/weather"
)

// besides gives a station that reads so many K more than another, give or take
// a spread that differs from day to day.
func besides(days []weather.Day, moreK, spreadK float64) (out []weather.Day) {
	chance := rand.New(rand.NewPCG(20, 31))
	for _, d := range days {
		k := moreK + spreadK*chance.NormFloat64()
		d.MinC, d.MaxC, d.MeanC = d.MinC+k, d.MaxC+k, d.MeanC+k
		out = append(out, d)
	}
	return out
}

// lost takes a range of days away.
func lost(days []weather.Day, gap civil.Range) []weather.Day {
	return slices.DeleteFunc(slices.Clone(days), func(d weather.Day) bool { return gap.Has(d.Date) })
}

// until gives the days before one.
func until(days []weather.Day, before civil.Date) []weather.Day {
	i, _ := slices.BinarySearchFunc(days, before, func(d weather.Day, day civil.Date) int { return int(d.Date - day) })
	return days[:i]
}

// Seen side by side for ten years, the next station reads 2 K more; altitude
// would have it 0.65 K colder than the site.
func TestASubstituteIsCarriedByWhatWasSeenSideBySide(t *testing.T) {
	b := newBench(t)
	all := series(today-1, 1)
	b.memory.days["NEAR"], b.memory.days["FAR"] = until(all, today-3), besides(all, 2, 0.5)
	w := item(t, b.do(t), call.BagOn).Why
	// 10 days of 4 °C·d; three of them are within 3·0.5·√3 K·d of it
	if math.Abs(w.HeatCd-40) > 3 {
		t.Errorf("%.2f °C·d", w.HeatCd)
	}
	if w.Station != "Far mill" || w.StandsFor != "Near hut" || w.StandsSince != today-3 || w.Reading != today-1 {
		t.Errorf("%+v", w)
	}
	now, err := advance.Now(t.Context(), b.memory, b.task)
	if err != nil || math.Abs(now.HeatCd-w.HeatCd) > 0.5 {
		t.Errorf("the board says %.2f °C·d, the mail %.2f (%v)", now.HeatCd, w.HeatCd, err)
	}
	b.memory.days["NEAR"] = all
	if w := item(t, b.do(t), call.BagOn).Why; w.StandsFor != "" || !w.StandsSince.IsZero() || w.Station != "Near hut" {
		t.Errorf("the station is back: %+v", w)
	}
}

// twin gives a station whose past differs from another's from day to day, and
// whose running year is filled to the very same values.
func twin(t testing.TB, all []weather.Day, spreadK float64) []weather.Day {
	t.Helper()
	newYear := civil.Of(2031, 1, 1)
	far := besides(all, 1, spreadK)
	stead, ok := weather.FitStead(weather.Series{AltitudeM: 100, Days: until(all, newYear)}, weather.Series{AltitudeM: 200, Days: until(far, newYear)})
	if !ok {
		t.Fatal("not fitted")
	}
	for i, d := range far {
		if d.Date >= newYear {
			k := -stead.OffsetK(d.Date)
			far[i] = weather.Day{Date: d.Date, MinC: all[i].MinC + k, MaxC: all[i].MaxC + k, MeanC: all[i].MeanC + k}
		}
	}
	return far
}

// The longer the gap, the wider the forecast, though it is filled with the very
// same values; with a reading on each day it is narrowest.
func TestALongerGapWidensTheForecast(t *testing.T) {
	all := rough(today - 1)
	far := twin(t, all, 2.5)
	before := 0.0
	for _, days := range []int{0, 3, 14, 35} {
		b := newBench(t)
		b.memory.days["NEAR"], b.memory.days["FAR"] = until(all, today-civil.Date(days)), far
		sd := spread(b.do(t))
		if sd <= before {
			t.Errorf("%d days missing: SD %.3f days, %.3f with fewer", days, sd, before)
		}
		before = sd
	}
}

// spread is the standard deviation of the days issued, summed over stages.
func spread(v advance.Verdict) (days float64) {
	for _, i := range v.Issued {
		days += sdOf(i.Days)
	}
	return days
}

func sdOf(d ensemble.Days) float64 {
	var n, mean, square, before float64
	for k, p := range d.By {
		x, w := float64(k), p-before
		n, mean, square, before = n+w, mean+w*x, square+w*x*x, p
	}
	return math.Sqrt(square/n - mean/n*mean/n)
}

// The same season twice: read day by day by the site's own station, and with
// weeks of it filled with the very same values but a stated error. What is
// issued is wider; every call but the look that a silent station asks for
// stands the same on every day, and the same mails are owed.
func TestADoubtAloneChangesNoStanding(t *testing.T) {
	for _, gap := range []civil.Range{
		{First: civil.Of(2031, 3, 10), Last: civil.Of(2031, 4, 20)},
		{First: civil.Of(2031, 4, 12), Last: civil.Of(2031, 5, 10)},
		{First: civil.Of(2031, 5, 20), Last: civil.Of(2031, 6, 20)},
	} {
		last := civil.Of(2031, 8, 31)
		all := rough(last)
		far := twin(t, all, 2.5)
		sure, doubted := newBench(t), newBench(t)
		sure.task.Memo, doubted.task.Memo = advance.NewMemo(1), advance.NewMemo(1)
		sure.memory.marked, doubted.memory.marked = true, true
		wider, stood := 0, map[call.Standing]bool{}
		for day := civil.Of(2031, 3, 1); day <= last; day++ {
			for _, hour := range []int{9, 17} {
				at := func(b *bench, near []weather.Day) advance.Verdict {
					b.memory.days["NEAR"], b.memory.days["FAR"] = until(near, day), until(far, day)
					b.task.Now, b.task.Evening = day.In(time.UTC, hour, 0), hour == 17
					v := b.do(t)
					b.memory.calls = v.Outcome.Calls
					return v
				}
				a, b := at(sure, all), at(doubted, lost(all, gap))
				if spread(b) > spread(a)*1.001 {
					wider++
				}
				if x, y := standings(a), standings(b); x != y {
					t.Fatalf("%s %d:00, gap %s\nread    %s\ndoubted %s", day, hour, gap, x, y)
				}
				for _, s := range a.Outcome.Calls {
					stood[s.Standing] = true
				}
			}
		}
		if wider < gap.Len() || len(stood) < 4 {
			t.Errorf("gap %s: the doubt widened %d forecasts, %d standings were seen: this shows nothing", gap, wider, len(stood))
		}
	}
}

// standings writes down how the calls stand and what is owed, but for the look
// at buds, which is asked for because a station is silent.
func standings(v advance.Verdict) string {
	var words []string
	for _, task := range call.Tasks {
		if task != call.LookAtBuds {
			words = append(words, fmt.Sprintf("%s: %+v", task, v.Outcome.Calls[task]))
		}
	}
	for _, o := range v.Outcome.Owed {
		if o.Task != call.LookAtBuds {
			words = append(words, fmt.Sprintf("owed %+v", o))
		}
	}
	return strings.Join(words, "\n")
}

// What is kept makes no difference, to the bit, in a gap as elsewhere.
func TestAGapWithAndWithoutMemo(t *testing.T) {
	all := rough(today - 1)
	b := newBench(t)
	b.memory.days["NEAR"], b.memory.days["FAR"] = until(all, today-9), besides(all, 1, 1)
	want := b.do(t)
	b.task.Memo = advance.NewMemo(1)
	for range 2 {
		if got := b.do(t); !reflect.DeepEqual(got, want) {
			t.Fatal("what is kept changes the day")
		}
	}
}

func TestWhenASiteIsBlind(t *testing.T) {
	near := map[call.Task]season.State{call.BagOn: {Standing: call.Ahead, Days: civil.Range{First: today + 10, Last: today + 14}}}
	far := map[call.Task]season.State{call.BagOn: {Standing: call.Ahead, Days: civil.Range{First: today + 11, Last: today + 14}}}
	over := map[call.Task]season.State{call.BagOn: {Standing: call.Done, Days: civil.Range{First: today, Last: today + 1}}}
	for _, row := range []struct {
		sentence string
		silent   int // days before today without a reading
		hour     int
		calls    map[call.Task]season.State
		want     bool
	}{
		{"yesterday is there", 0, 17, near, false},
		{"one day missed isn't enough far from any day", 1, 17, far, false},
		{"but within 10 days of a call's days", 1, 17, near, true},
		{"not in the morning, before it is expected", 1, 9, near, false},
		{"nor for a call that is done", 1, 17, over, false},
		{"48 hours are at any time", 2, 17, nil, true},
		{"two days missed, of which the second isn't expected yet", 2, 9, far, false},
		{"near days the first of them is enough", 2, 9, near, true},
	} {
		b := newBench(t)
		b.memory.days["NEAR"] = series(today-1-civil.Date(row.silent), 1)
		b.memory.days["FAR"] = series(today-1, 1)
		b.task.Now = today.In(time.UTC, row.hour, 0)
		if got := advance.Blind(t.Context(), b.memory, b.task, row.calls); got != row.want {
			t.Errorf("%s: %v", row.sentence, got)
		}
	}
}
