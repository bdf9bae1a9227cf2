package feed

import (
	"math"

	"budcall/internal/civil"
)

// inventory gathers what the lines of an inventory, one an element of a
// station, say of each station.
type inventory struct {
	order    []string
	stations map[string]*inventoried
}

// inventoried is a station of an inventory: where it is and when each of its
// temperatures was measured, by element.
type inventoried struct {
	place Place
	spans [elementCount]civil.Range // the last is no day while it goes on
	has   [elementCount]bool
}

// at gives a station's entry, which is new where it wasn't met before.
func (v *inventory) at(id string, place Place) *inventoried {
	if s := v.stations[id]; s != nil {
		return s
	}
	if v.stations == nil {
		v.stations = map[string]*inventoried{}
	}
	s := &inventoried{place: place}
	v.order, v.stations[id] = append(v.order, id), s
	return s
}

// add adds a time in which an element was measured; gaps between are passed over.
func (s *inventoried) add(element int, over civil.Range) {
	if have := s.spans[element]; s.has[element] {
		over.First = min(over.First, have.First)
		switch {
		case have.Last.IsZero():
			over.Last = 0
		case !over.Last.IsZero():
			over.Last = max(over.Last, have.Last)
		}
	}
	s.spans[element], s.has[element] = over, true
}

// temperature gives when the station has a day's temperature: both extremes,
// or the mean, whichever was measured longer.
func (s *inventoried) temperature() (over civil.Range, ok bool) {
	low, high := s.spans[elementMin], s.spans[elementMax]
	over = civil.Range{First: max(low.First, high.First), Last: earlierEnd(low.Last, high.Last)}
	ok = s.has[elementMin] && s.has[elementMax] && over.First <= lastDay(over)
	if mean := s.spans[elementMean]; s.has[elementMean] && (!ok || lastDay(mean)-mean.First > lastDay(over)-over.First) {
		return mean, true
	}
	return over, ok
}

// earlierEnd is the earlier of two ends, of which no day is none.
func earlierEnd(a, b civil.Date) civil.Date {
	if a.IsZero() || !b.IsZero() && b < a {
		return b
	}
	return a
}

// lastDay is a range's last day, or one later than all.
func lastDay(r civil.Range) civil.Date {
	if r.Last.IsZero() {
		return math.MaxInt32 / 2
	}
	return r.Last
}

// entry gives what is known of a station.
func (v *inventory) entry(id string) StationEntry {
	s := v.stations[id]
	e := StationEntry{ID: id, Place: s.place, Measures: MeasuresOther}
	if over, ok := s.temperature(); ok {
		e.First, e.Last, e.Measures = over.First, over.Last, MeasuresTemperature
	}
	return e
}

// batch gives the inventory as a list of stations.
func (v *inventory) batch(rejects *rejectList, credit, cure string) (Batch, error) {
	if len(v.order) == 0 {
		return Batch{}, rejects.nothingRead(cure)
	}
	b := Batch{Rejects: rejects.listed, MoreRejects: rejects.more, Place: nowhere(), Credit: credit}
	for _, id := range v.order {
		b.Stations = append(b.Stations, v.entry(id))
	}
	return b, nil
}
