package pull

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// How a station's days are compared with others; our assumptions.
const (
	pastYears   = 6  // before the first day that is judged
	revisedDays = 60 // back to which a mark is set or taken back
	freshDays   = 10 // back to which the ops person is told of a doubt
)

// compare judges what a station brought by its own past and by its neighbours.
// Days that were stored before are among the haul's days afterwards where what
// is said of them has changed.
func (j *Job) compare(ctx context.Context, o Order, h *weather.Haul) error {
	if j.Past == nil || o.Class != "station" {
		return nil
	}
	if o.BackFill {
		return j.lookBack(ctx, o, h)
	}
	news, err := j.heardNews(ctx, o)
	if err != nil || len(h.Days) == 0 && !news {
		return err
	}
	today := civil.At(o.Now.In(o.Zone))
	first := today
	if len(h.Days) > 0 {
		first = min(first, h.Days[0].Date)
	}
	watch, err := j.watch(ctx, o, h.Days, first.Year()-pastYears, today.Year())
	if err != nil {
		return err
	}
	told := map[civil.Date]weather.Verdict{}
	for _, v := range watch.Since(min(first, today-revisedDays)) {
		if v.Station == station(o) {
			told[v.Date] = v
		}
	}
	fresh := revise(h, watch.Series[0].Days, told, today)
	return j.doubts(ctx, o, append(byThemselves(watch, today), fresh...))
}

// lookBack judges a part of the past by the years around each day.
func (j *Job) lookBack(ctx context.Context, o Order, h *weather.Haul) error {
	if len(h.Days) == 0 {
		return nil
	}
	watch, err := j.watch(ctx, o, h.Days, h.Days[0].Date.Year()-1, h.Days[len(h.Days)-1].Date.Year()+1)
	if err != nil {
		return err
	}
	at := map[civil.Date]int{}
	for i, d := range h.Days {
		at[d.Date] = i
	}
	for _, v := range watch.InHindsight() {
		if i, brought := at[v.Date]; brought && v.Station == station(o) && h.Days[i].Mark == weather.Usable {
			h.Days[i].Mark = v.Mark
		}
	}
	return nil
}

func station(o Order) string { return strings.TrimPrefix(o.Name, "station:") }

// heardNews tells whether a neighbour has reported since the station was last
// judged: readings of one day don't come at one time.
func (j *Job) heardNews(ctx context.Context, o Order) (bool, error) {
	var now string
	for _, n := range o.Neighbours {
		s, err := j.Memory.Source(ctx, "station:"+n)
		if err != nil {
			return false, err
		}
		now += fmt.Sprintf("%s %s ", n, s.Newest)
	}
	before, _ := j.heard.Swap(o.Name, now)
	return before != now && now != "", nil
}

// watch gathers the station's days, new ones over stored ones, and those of
// its neighbours; the station is the first of the series.
func (j *Job) watch(ctx context.Context, o Order, days []weather.Day, first, last int) (weather.Watch, error) {
	var w weather.Watch
	for _, code := range append([]string{station(o)}, o.Neighbours...) {
		past, err := j.Past(ctx, code, first, last)
		if err != nil {
			return w, err
		}
		w.Series = append(w.Series, weather.Series{Station: code, Days: past})
	}
	w.Series[0].Days = laid(w.Series[0].Days, days)
	return w, nil
}

// laid lays new days over stored ones, both sorted. As in the memory, a new
// one that looks wrong by itself doesn't take the place of one that doesn't,
// nor a provisional one that of a final one.
func laid(stored, days []weather.Day) []weather.Day {
	at := map[civil.Date]int{}
	out := slices.Clone(stored)
	for i, d := range out {
		at[d.Date] = i
	}
	for _, d := range days {
		i, ok := at[d.Date]
		switch {
		case !ok:
			out = append(out, d)
		case d.Provisional && !out[i].Provisional:
		case d.Mark == weather.Usable || out[i].Mark != weather.Usable || out[i].Provisional:
			out[i] = d
		}
	}
	slices.SortFunc(out, func(a, b weather.Day) int { return int(a.Date - b.Date) })
	return out
}

// revise puts marks on the haul's days, adds those stored days of late whose
// mark has changed, and gives the verdicts that are fresh.
func revise(h *weather.Haul, all []weather.Day, told map[civil.Date]weather.Verdict, today civil.Date) (fresh []weather.Verdict) {
	brought := map[civil.Date]int{}
	for i, d := range h.Days {
		brought[d.Date] = i
	}
	for _, d := range all {
		if d.Mark != weather.Usable && !d.Mark.ByComparison() {
			continue
		}
		v, judged := told[d.Date]
		i, isNew := brought[d.Date]
		switch {
		case isNew && (h.Days[i].Mark == weather.Usable || h.Days[i].Mark.ByComparison()):
			h.Days[i].Mark = v.Mark
		case !isNew && d.Date >= today-revisedDays && d.Mark != v.Mark:
			d.Mark = v.Mark
			h.Days = append(h.Days, d)
		}
		if judged && !d.Provisional && d.Date >= today-freshDays && (v.Mark != weather.Usable || v.Found == d.Date) {
			fresh = append(fresh, v)
		}
	}
	slices.SortFunc(h.Days, func(a, b weather.Day) int { return int(a.Date - b.Date) })
	return fresh
}
