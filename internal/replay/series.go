package replay

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"sync/atomic"

	"budcall/internal/civil"
	"budcall/internal/postgres"
	"budcall/internal/weather"
)

// Series is the readings of a station over years, of which a season shows what
// was known on its days: a day's reading is there from the next morning's pull
// on. Seasons played beside each other can share it.
type Series struct {
	id   int64         // tells series apart
	days []weather.Day // as given
	past []weather.Day // as the memory gives past years back
	same bool          // the two say the same

	winds []weather.Wind // sorted; none, where nothing is known of them
}

// nextID numbers what a Memo must tell apart.
var nextID atomic.Int64

// NewSeries prepares judged days, sorted and without repeats (see
// weather.JudgeAll).
func NewSeries(days []weather.Day) (*Series, error) {
	s := &Series{id: nextID.Add(1), days: days}
	for i := 1; i < len(days); i++ {
		if days[i].Date <= days[i-1].Date {
			return nil, fmt.Errorf("the days of a station must be in order and without repeats: %s comes after %s", days[i].Date, days[i-1].Date)
		}
	}
	for rest := days; len(rest) > 0; {
		year := rest[0].Date.Year()
		n := from(rest, civil.Of(year+1, 1, 1))
		past, err := postgres.PastYear(year, nil, rest[:n])
		if err != nil {
			return nil, err
		}
		s.past, rest = append(s.past, past...), rest[n:]
	}
	usable := make([]weather.Day, 0, len(s.past))
	for _, d := range days {
		if d.Mark != weather.Usable || !math.IsNaN(d.MinC) || !math.IsNaN(d.MaxC) || !math.IsNaN(d.MeanC) {
			usable = append(usable, d)
		}
	}
	s.same = slices.EqualFunc(usable, s.past, alike)
	return s, nil
}

// WithWinds lets the series have the winds of its station, sorted; a day's is
// known from the next day on, as its reading.
func (s *Series) WithWinds(winds []weather.Wind) *Series {
	s.winds = winds
	return s
}

// openFrom gives the days with the years before one read back as past ones.
func (s *Series) openFrom(year int) []weather.Day {
	if s.same {
		return s.past
	}
	first := civil.Of(year, 1, 1)
	return slices.Concat(s.past[:from(s.past, first)], s.days[from(s.days, first):])
}

// from gives the index of the first day that is first or later.
func from(days []weather.Day, first civil.Date) int {
	return sort.Search(len(days), func(i int) bool { return days[i].Date >= first })
}

// alike tells whether two days say the same.
func alike(a, b weather.Day) bool {
	return a.Date == b.Date && a.Mark == b.Mark && equal(a.MinC, b.MinC) && equal(a.MaxC, b.MaxC) && equal(a.MeanC, b.MeanC)
}

func equal(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }
