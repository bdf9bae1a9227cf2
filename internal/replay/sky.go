package replay

import (
	"context"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"budcall/internal/civil"
	"budcall/internal/fetch"
	"budcall/internal/postgres"
	"budcall/internal/pull"
	"budcall/internal/weather"
)

// sky is the weather that is known.
type sky struct {
	series   map[string]*Series
	stations map[string]*station
	sources  map[string]*source
}

// source is what is known of a source that is pulled.
type source struct {
	weather.Source
	retryAt time.Time
}

// station is what a station has read.
type station struct {
	id      int64         // of its series, or its own
	days    []weather.Day // all that is there; a given Series has later ones too
	n       int           // of them known
	past    map[int][]weather.Day
	rows    []weather.Day // of open years, sorted
	winds   map[civil.Date]weather.Wind
	changes int // counts what was stored otherwise than as the days after the newest one
}

func newSky(series map[string]*Series) sky {
	return sky{series: series, stations: map[string]*station{}, sources: map[string]*source{}}
}

func (s *sky) station(code string) *station {
	st := s.stations[code]
	if st == nil {
		st = &station{id: nextID.Add(1), past: map[int][]weather.Day{}}
		if series := s.series[code]; series != nil {
			st.id = series.id
		}
		s.stations[code] = st
	}
	return st
}

// show makes known what of a given series is over before a day.
func (s *sky) show(code string, today civil.Date) {
	st := s.station(code)
	if st.days == nil {
		st.days = s.series[code].openFrom(today.Year())
	}
	st.n = from(st.days, today)
}

// History gives the days of a station in the years first..last, both included.
func (s *sky) History(_ context.Context, code string, first, last int) ([]weather.Day, error) {
	st := s.stations[code]
	if st == nil {
		return nil, nil
	}
	if st.days == nil {
		st.merge()
	}
	known := st.days[:st.n:st.n]
	return known[from(known, civil.Of(first, 1, 1)):from(known, civil.Of(last+1, 1, 1))], nil
}

// HistoryMark changes whenever a day of one of the stations before a year
// does. It is the same for seasons that share their series, so that they can
// share a Memo, and for no others.
func (s *sky) HistoryMark(_ context.Context, stations []string, before int) (string, error) {
	mark := make([]byte, 0, 64)
	for _, code := range stations {
		st := s.stations[code]
		if st == nil {
			mark = append(mark, "none,"...)
			continue
		}
		if st.days == nil {
			st.merge()
		}
		mark = strconv.AppendInt(mark, st.id, 10)
		mark = strconv.AppendInt(append(mark, '.'), int64(st.changes), 10)
		mark = strconv.AppendInt(append(mark, '.'), int64(from(st.days[:st.n], civil.Of(before, 1, 1))), 10)
		mark = append(mark, ',')
	}
	return string(mark), nil
}

// merge puts past years and rows together; of a day in both, the row is taken.
func (st *station) merge() {
	byDate := func(a, b weather.Day) int { return int(a.Date) - int(b.Date) }
	st.days = []weather.Day{}
	for _, year := range slices.Sorted(maps.Keys(st.past)) {
		st.days = append(st.days, st.past[year]...)
	}
	for _, r := range st.rows {
		i, found := slices.BinarySearchFunc(st.days, r, byDate)
		if found {
			st.days[i] = r
		} else {
			st.days = slices.Insert(st.days, i, r)
		}
	}
	st.n = len(st.days)
}

// Source looks a source up; an unknown one is empty.
func (s *sky) Source(_ context.Context, name string) (weather.Source, error) {
	if src, ok := s.sources[name]; ok {
		return src.Source, nil
	}
	return weather.Source{Name: name}, nil
}

// DueSources lists the sources whose asking failed and is due again at at.
func (s *sky) DueSources(_ context.Context, at time.Time) (due []string, err error) {
	for name, src := range s.sources {
		if !src.retryAt.IsZero() && !src.retryAt.After(at) {
			due = append(due, name)
		}
	}
	slices.Sort(due)
	return due, nil
}

// NextSource gives the next moment at which a source is to be asked again.
func (s *sky) NextSource(context.Context) (next time.Time, err error) {
	for _, src := range s.sources {
		next = earlier(next, src.retryAt)
	}
	return next.UTC(), nil
}

// StoreHaul settles the piece of a run with what its source brought.
func (m *memory) StoreHaul(_ context.Context, piece int64, h weather.Haul) error {
	return m.settle(piece, func(postgres.Piece) error {
		newest := h.Source.Newest
		if before, ok := m.sources[h.Source.Name]; ok {
			newest = max(newest, before.Newest)
		}
		h.Source.Newest = newest
		m.sources[h.Source.Name] = &source{Source: h.Source, retryAt: h.RetryAt}
		code, ok := strings.CutPrefix(h.Source.Name, "station:")
		if h.Error != "" || !ok {
			return nil
		}
		m.station(code).blow(h)
		if len(h.Days) == 0 {
			return nil
		}
		return m.station(code).store(h)
	})
}

// store packs past years and puts the days of open ones over what is there.
func (st *station) store(h weather.Haul) error {
	years, open := h.Settled()
	for year, days := range years {
		packed, err := postgres.PastYear(year, st.past[year], days)
		if err != nil {
			return err
		}
		st.past[year] = packed
		st.close(days)
	}
	if st.appends(open) && len(years) == 0 {
		st.rows, st.days = append(st.rows, open...), append(st.days, open...)
		st.n = len(st.days)
		return nil
	}
	for _, d := range open {
		st.upsert(d)
	}
	st.days = nil
	st.changes++
	return nil
}

// appends tells whether days come after all that are known, in the year of the
// newest of them.
func (st *station) appends(days []weather.Day) bool {
	if st.days == nil || st.n == 0 || len(days) == 0 {
		return false
	}
	last := st.days[st.n-1].Date
	return days[0].Date > last && days[len(days)-1].Date.Year() == last.Year()
}

// close takes away the rows of usable days that are packed by now, and
// provisional rows.
func (st *station) close(days []weather.Day) {
	packed := map[civil.Date]bool{}
	for _, d := range days {
		packed[d.Date] = d.Mark == weather.Usable
	}
	st.rows = slices.DeleteFunc(st.rows, func(r weather.Day) bool {
		used, known := packed[r.Date]
		return known && (used || r.Provisional)
	})
}

// upsert writes a day over what is there of it. What looks wrong never takes
// the place of a reading that doesn't, nor a provisional one that of a final.
func (st *station) upsert(d weather.Day) {
	i := from(st.rows, d.Date)
	switch {
	case i == len(st.rows) || st.rows[i].Date != d.Date:
		st.rows = slices.Insert(st.rows, i, d)
	case d.Provisional && !st.rows[i].Provisional:
	case st.rows[i].Provisional || st.rows[i].Mark != weather.Usable || d.Mark == weather.Usable || d.SameValues(st.rows[i]):
		st.rows[i] = d
	}
}

// puller makes known what is given and asks files for the rest.
type puller struct {
	memory *memory
	job    *pull.Job
}

// Do asks a source as it was at the time of the order.
func (p puller) Do(ctx context.Context, o pull.Order) error {
	code, station := strings.CutPrefix(o.Name, "station:")
	if station && p.memory.series[code] == nil {
		return p.job.Do(ctx, o)
	}
	return p.memory.settle(o.Piece, func(postgres.Piece) error {
		if station {
			p.memory.show(code, civil.At(o.Now.In(o.Zone)))
		}
		return nil
	})
}

// files gives station files.
type files struct{}

// Ask reads a file.
func (files) Ask(_ context.Context, a pull.Asking) (pull.Answer, error) {
	body, err := fetch.ReadFile(a.Path)
	return pull.Answer{Body: body}, err
}
