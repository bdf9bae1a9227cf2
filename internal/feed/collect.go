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
	lines   []int // where each of days stands
	at      map[civil.Date]int
	missing int
}

// day takes a day that stands on a line. A repeat that says the same is kept
// once, one that says otherwise marks the date: nobody can know which holds.
func (c *collector) day(line int, text string, d weather.Day) {
	if c.at == nil {
		c.at = map[civil.Date]int{}
	}
	i, repeated := c.at[d.Date]
	if !repeated {
		c.at[d.Date] = len(c.days)
		c.days, c.lines = append(c.days, d), append(c.lines, line)
		return
	}
	if sameValues(c.days[i], d) {
		c.rejects.add(line, text, fmt.Sprintf("%s repeats line %d: kept once", d.Date, c.lines[i]))
		return
	}
	c.days[i].Mark = weather.Conflict
	c.rejects.add(line, text, fmt.Sprintf("%s says otherwise than line %d: neither is used (%s)", d.Date, c.lines[i], weather.Conflict))
}

// sorted gives the days in order of date.
func (c *collector) sorted() []weather.Day {
	slices.SortFunc(c.days, func(a, b weather.Day) int { return cmp.Compare(a.Date, b.Date) })
	return c.days
}

func sameValues(a, b weather.Day) bool {
	return sameC(a.MinC, b.MinC) && sameC(a.MaxC, b.MaxC) && sameC(a.MeanC, b.MeanC)
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
