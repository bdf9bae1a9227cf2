package rehearse

import (
	"math"
	"os"
	"slices"
	"testing"
	"time"

	"budcall/internal/civil"
)

func profile() []Stage {
	march, january := civil.MonthDay{Month: time.March, Day: 1}, civil.MonthDay{Month: time.January, Day: 1}
	return []Stage{
		{Code: 1, BaseC: 5, Start: march, MedianCd: 25, LogSD: 0.45},
		{Code: 7, BaseC: 5, Start: march, MedianCd: 60, LogSD: 0.30},
		{Code: 60, BaseC: 5, Start: march, MedianCd: 95, LogSD: 0.22},
		{Code: 69, BaseC: 5, Start: march, MedianCd: 210, LogSD: 0.17},
		{Code: 89, BaseC: 5, Start: january, MedianCd: 850, LogSD: 0.08},
	}
}

func small(t *testing.T, change func(*Settings)) *Trial {
	t.Helper()
	in, err := os.Open("testdata/invented.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	means, err := ReadTemperatures("testdata/invented.csv", in)
	if err != nil {
		t.Fatal(err)
	}
	set := Usual(profile())
	if change != nil {
		change(&set)
	}
	tr, err := NewTrial(set, []Station{{Name: "Lill", LatitudeDeg: 58, Means: means}}, 2001, 2008)
	if err != nil {
		t.Fatal(err)
	}
	return tr
}

// diary plays a plan of rules day by day, from nothing but what a View shows:
// its heat sums are made anew each morning with the rest of the year unknown.
type diary struct {
	season  *Season // its settings, calendar and climate
	rules   rules
	climate []float64
	asked   map[Task]bool
	want    float64 // for seed, after a visit
}

func (d *diary) Now(v View) []Ask {
	if v.Event == Visited {
		d.visited(v)
	}
	if v.Event != Slot || v.At.Hour() != 6 {
		return nil
	}
	var asks []Ask
	for _, task := range []struct {
		task Task
		code int
		rule rule
	}{{Bag, Swelling, d.rules.bag}, {TakeOff, FlowerEnd, d.rules.off}, {Pick, SeedRipe, d.rules.pick}} {
		if d.asked[task.task] {
			continue
		}
		want := task.rule.at
		if task.task == Pick {
			want = d.want
		}
		today := int(v.Today - d.season.First)
		k := d.known(v, task.code)
		if a, ok := task.rule.ask(k, today, want); ok && a.today == today {
			d.asked[task.task] = true
			at := func(day int) civil.Date { return d.season.First + civil.Date(day) }
			asks = append(asks, Ask{To: Lead, Task: task.task, Days: civil.Range{First: at(a.first), Last: at(a.last)}, Best: at(a.best)})
		}
	}
	return asks
}

// visited looks whether seed is left.
func (d *diary) visited(v View) {
	left := false
	for i := range v.Done {
		done := false
		for _, r := range v.Reports {
			if r.Tree == i && (r.Ripe || r.Shed) {
				done = true
			}
		}
		left = left || !done
	}
	if d.asked[Pick] && left {
		d.asked[Pick] = false
		d.want = d.known(v, SeedRipe).sum[int(v.Today-d.season.First)] + d.rules.pick.again
	}
}

// known sums heat with today and the days after it unknown.
func (d *diary) known(v View, code int) *known {
	n, today := int(d.season.Last-d.season.First)+1, int(v.Today-d.season.First)
	shadow := &Season{Year: d.season.Year, First: d.season.First, Last: d.season.Last, issued: make([][]float64, today+1)}
	shadow.observed = append(slices.Clone(v.Observed), math.NaN())
	shadow.issued[today] = v.Forecast
	st, _ := d.season.set.stage(code)
	k := newKnown(shadow, st, d.climate)
	k.sum = append(k.sum, make([]float64, n-len(k.sum))...)
	k.soon = append(k.soon, make([]float64, n*LeadDays-len(k.soon))...)
	return k
}

// TestRulesPlayedDayByDayComeToTheSame: the rules look at arrays of the whole
// season; played through Play by what each morning shows, with a lead who
// answers in time, dates, trips and mails come out alike.
func TestRulesPlayedDayByDayComeToTheSame(t *testing.T) {
	tr := small(t, func(s *Settings) { s.SilentShare, s.SitesPerStation = 0, 6 })
	compared := 0
	for _, r := range []rules{
		{rule{basis: byHeat, at: 20}, rule{basis: byHeat, at: 260}, rule{basis: byHeat, at: 780, again: 45}},
		{rule{basis: byForecast, at: 35, lead: 4}, rule{basis: byForecast, at: 280, lead: 4}, rule{basis: byForecast, at: 800, lead: 2, again: 60}},
	} {
		for _, s := range tr.Seasons {
			k := newKeeper(s)
			want := r.play(k)
			if want.Mails != 2+want.TripsPick {
				continue // passed on, which the diary doesn't do
			}
			compared++
			got := Play(s, &diary{season: s, rules: r, climate: s.Climate(), asked: map[Task]bool{}, want: r.pick.at})
			if !slices.Equal(got.Trees, want.Trees) || got.TripsBag != want.TripsBag || got.TripsOff != want.TripsOff || got.TripsPick != want.TripsPick || got.Mails != want.Mails {
				t.Errorf("%s, basis %d:\n got %+v\nwant %+v", s, r.bag.basis, got, want)
			}
		}
	}
	if compared < 20 {
		t.Errorf("%d seasons compared, too few", compared)
	}
}

// TestKnownBridgesGaps: base 5, start 1 March (day 59 of 2021 from 0); expected
// by hand. Climate 9 °C throughout, readings 11 °C, then 7 after the gap.
func TestKnownBridgesGaps(t *testing.T) {
	nan := math.NaN()
	s := &Season{Year: 2021, observed: slices.Repeat([]float64{11}, 70), issued: make([][]float64, 70)}
	s.observed[62], s.observed[63], s.observed[64] = nan, nan, 7
	k := newKnown(s, Stage{BaseC: 5, Start: civil.MonthDay{Month: time.March, Day: 1}}, slices.Repeat([]float64{9}, 366))
	for _, row := range []struct {
		name    string
		morning int
		want    float64
	}{
		{"nothing before the start", 59, 0},
		{"one day of 6", 60, 6},
		{"three days", 62, 18},
		{"the departure of 2 fades to 1.6: 5.6", 63, 23.6},
		{"and to 1.28: 5.28", 64, 28.88},
		{"closed: 9.67 and 8.33 °C on the line from 11 to 7, then 7", 65, 18 + (11 - 4.0/3 - 5) + (11 - 8.0/3 - 5) + 2},
	} {
		if got := k.sum[row.morning]; math.Abs(got-row.want) > 1e-9 {
			t.Errorf("%s: %g °C·d on morning %d, want %g", row.name, got, row.morning, row.want)
		}
	}
}
