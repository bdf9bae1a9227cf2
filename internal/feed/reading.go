package feed

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"
)

// Reading is one temperature of a series finer than a day, in °C.
type Reading struct {
	At         time.Time     // the moment, or the end of the time that the values are of
	Over       time.Duration // that time; 0 for a moment
	TempC      float64       // at the moment, or the mean over the time; NaN where it is missing
	MinC, MaxC float64       // extremes over the time; NaN where the series has none
	Line       int
}

// middle is where the reading stands in time.
func (r Reading) middle() time.Time { return r.At.Add(-r.Over / 2) }

func (r Reading) sameValues(s Reading) bool {
	return sameC(r.TempC, s.TempC) && sameC(r.MinC, s.MinC) && sameC(r.MaxC, s.MaxC)
}

// instant is a reading of a moment.
func instant(line int, at time.Time, tempC float64) Reading {
	return Reading{At: at, TempC: tempC, MinC: math.NaN(), MaxC: math.NaN(), Line: line}
}

// readings gathers the readings of one file; each moment is kept once.
type readings struct {
	list    []Reading
	missing int // readings that the file names without a temperature
}

func (rs *readings) add(r Reading) {
	if math.IsNaN(r.TempC) {
		rs.missing++
	}
	rs.list = append(rs.list, r)
}

// settle sorts the readings and takes out moments that stand there twice: the
// same value is kept once, of two values neither is used.
func (rs *readings) settle(rejects *rejectList) []Reading {
	slices.SortStableFunc(rs.list, func(a, b Reading) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Line, b.Line)) })
	kept := rs.list[:0]
	for i := 0; i < len(rs.list); {
		j := i + 1
		differs := false
		for ; j < len(rs.list) && rs.list[j].At.Equal(rs.list[i].At); j++ {
			differs = differs || !rs.list[j].sameValues(rs.list[i])
		}
		first := rs.list[i]
		for _, r := range rs.list[i+1 : j] {
			reason := fmt.Sprintf("repeats the moment of line %d: kept once", first.Line)
			if differs {
				reason = fmt.Sprintf("has the moment of line %d and another value: neither is used (a clock that follows summer time repeats an hour in autumn)", first.Line)
			}
			rejects.add(r.Line, r.At.Format(time.RFC3339), reason)
		}
		if !differs {
			kept = append(kept, first)
		}
		i = j
	}
	rs.list = kept
	return kept
}
