package feed

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// collector gathers the days of one file: each date once, repeats told.
type collector struct {
	rejects rejectList
	days    []weather.Day
	from    []origin // of each of days
	at      map[civil.Date]int
	missing int
	others  int
	winds   []weather.Wind
	flags   map[string]int
	notes   []string
}

// origin is where a day stands in the file and how good the provider thinks
// it is.
type origin struct {
	line, rank int32
	of         *[3]int32 // lines of single values; nil where a line is a whole day
}

// day takes a day that stands on a line. A repeat that says the same is kept
// once, one that says otherwise marks the date: nobody can know which holds.
func (c *collector) day(line int, text string, d weather.Day) { c.ranked(line, text, d, 0) }

// ranked is day for a provider that ranks its values: of two different ones
// the higher rank holds.
func (c *collector) ranked(line int, text string, d weather.Day, rank int) {
	i, repeated := c.find(d.Date)
	if !repeated {
		c.append(d, origin{line: int32(line), rank: int32(rank)})
		return
	}
	old := &c.from[i]
	switch {
	case int32(rank) > old.rank:
		c.rejects.add(int(old.line), d.Date.String(), fmt.Sprintf("%s stands in a higher quality level in line %d, which is kept", d.Date, line))
		c.days[i], *old = d, origin{line: int32(line), rank: int32(rank)}
	case int32(rank) < old.rank:
		c.rejects.add(line, text, fmt.Sprintf("%s stands in a higher quality level in line %d, which is kept", d.Date, old.line))
	case d.SameValues(c.days[i]):
		c.rejects.add(line, text, fmt.Sprintf("%s repeats line %d: kept once", d.Date, old.line))
	default:
		c.days[i].Mark = weather.Conflict
		c.rejects.add(line, text, fmt.Sprintf("%s says otherwise than line %d: neither is used (%s)", d.Date, old.line, weather.Conflict))
	}
}

// The values of a day, in the order of weather.Day.
const (
	elementMin = iota
	elementMax
	elementMean
	elementCount
)

var elementWords = [elementCount]string{"minimum", "maximum", "mean"}

// value takes a single value of a day, in °C, where a line holds only one;
// NaN names the day without it. Repeats are treated as by day.
func (c *collector) value(line int, text string, date civil.Date, element int, v float64) {
	i, known := c.find(date)
	if !known {
		i = c.append(weather.Missing(date), origin{line: int32(line), of: new([3]int32)})
	}
	if math.IsNaN(v) {
		c.missing++
		return
	}
	d := &c.days[i]
	into := [elementCount]*float64{&d.MinC, &d.MaxC, &d.MeanC}[element]
	before := c.from[i].of[element]
	switch {
	case before == 0:
		*into, c.from[i].of[element] = v, int32(line)
	case *into == v:
		c.rejects.add(line, text, fmt.Sprintf("the %s of %s repeats line %d: kept once", elementWords[element], date, before))
	default:
		d.Mark = weather.Conflict
		c.rejects.add(line, text, fmt.Sprintf("the %s of %s says otherwise than line %d: neither is used (%s)", elementWords[element], date, before, weather.Conflict))
	}
}

// find looks a date up. As long as the file is in order no table is needed.
func (c *collector) find(date civil.Date) (int, bool) {
	last := len(c.days) - 1
	if c.at == nil {
		if last < 0 || date > c.days[last].Date {
			return 0, false
		}
		if c.days[last].Date == date {
			return last, true
		}
		c.at = make(map[civil.Date]int, len(c.days))
		for i, d := range c.days {
			c.at[d.Date] = i
		}
	}
	i, ok := c.at[date]
	return i, ok
}

func (c *collector) append(d weather.Day, from origin) int {
	if c.at != nil {
		c.at[d.Date] = len(c.days)
	}
	c.days, c.from = append(c.days, d), append(c.from, from)
	return len(c.days) - 1
}

// wind takes a day's wind; of several for one day the first is kept.
func (c *collector) wind(w weather.Wind) {
	if math.IsNaN(w.MeanMS) && math.IsNaN(w.MaxMS) && math.IsNaN(w.GustMS) {
		return
	}
	c.winds = append(c.winds, w)
}

// flag counts a quality code.
func (c *collector) flag(code string) {
	if c.flags == nil {
		c.flags = map[string]int{}
	}
	if _, known := c.flags[code]; known || len(c.flags) < 100 {
		c.flags[code]++
	}
}

// sorted gives the days in order of date.
func (c *collector) sorted() []weather.Day {
	slices.SortFunc(c.days, func(a, b weather.Day) int { return cmp.Compare(a.Date, b.Date) })
	return c.days
}

// ranks gives the rank of each day that has one.
func (c *collector) ranks() map[civil.Date]int32 {
	var ranks map[civil.Date]int32
	for i, from := range c.from {
		if from.rank == 0 {
			continue
		}
		if ranks == nil {
			ranks = make(map[civil.Date]int32, len(c.days))
		}
		ranks[c.days[i].Date] = from.rank
	}
	return ranks
}

// batch gives what was gathered.
func (c *collector) batch(opt Options) Batch {
	slices.SortStableFunc(c.winds, func(a, b weather.Wind) int { return cmp.Compare(a.Date, b.Date) })
	c.winds = slices.CompactFunc(c.winds, func(a, b weather.Wind) bool { return a.Date == b.Date })
	ranks := c.ranks() // before the days are sorted
	return Batch{
		Station: opt.Station, ranks: ranks, Days: c.sorted(), Winds: c.winds, Window: opt.Window, Place: nowhere(),
		Rejects: c.rejects.sorted(), MoreRejects: c.rejects.more,
		MissingValues: c.missing, OtherRecords: c.others, Flags: c.flags, Notes: c.notes,
	}
}

func sameC(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }

// rejectList holds rejects up to MaxRejects and counts the rest, so that a
// large file of nonsense does not fill the memory.
type rejectList struct {
	listed []Reject
	more   int
}

func (l *rejectList) add(line int, text, reason string) {
	if len(l.listed) >= MaxRejects {
		l.more++
		return
	}
	l.listed = append(l.listed, Reject{Line: line, Text: shorten(text), Reason: reason})
}

// takeBack takes back the newest rejects, which another one says better.
func (l *rejectList) takeBack(n int) {
	counted := min(n, l.more)
	l.more -= counted
	l.listed = l.listed[:len(l.listed)-min(n-counted, len(l.listed))]
}

// sorted gives the rejects in the order of the file.
func (l *rejectList) sorted() []Reject {
	slices.SortStableFunc(l.listed, func(a, b Reject) int { return cmp.Compare(a.Line, b.Line) })
	return l.listed
}

// nothingRead is the refusal of a file of which no day was understood; the
// first reject is the best hint at why.
func (l *rejectList) nothingRead(cure string) error {
	if len(l.listed) == 0 {
		return refuse(cure, "no day was found in this file")
	}
	first := l.listed[0]
	return &Refusal{Line: first.Line, Cure: cure,
		What: fmt.Sprintf("nothing in this file could be read; first: %s: %q", first.Reason, first.Text)}
}

// stationRead gives the station whose days were read; cure says how rows must
// look, where none was.
func (c *collector) stationRead(of *onlyStation, cure string) (station string, err error) {
	if station, err = of.settle(len(c.days)); err == nil && len(c.days) == 0 {
		return "", c.rejects.nothingRead(cure)
	}
	return station, err
}
