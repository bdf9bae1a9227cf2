package ensemble

import (
	"math"
	"slices"

	"budcall/internal/civil"
)

// Need is the heat that a stage needs, on the log scale: its logarithm (of
// °C·d) is Gaussian with this mean and standard deviation. An SD below 10⁻⁶,
// a millionth of the heat, counts as none: the need is then met at its mean.
type Need struct{ MeanLog, SD float64 }

const leastSpread = 1e-6

// leastCd is the least heat in °C·d that is any.
const leastCd = math.SmallestNonzeroFloat64

// Sums is the heat that each member gathers, as logarithms.
//
// Log[m][i] is ln of the °C·d that member m has gathered by the end of the day
// From+i: −Inf for none, never falling as i grows, never NaN. Where a
// requirement falls with time, what it has fallen by is added already. All
// members are as long as the first.
type Sums struct {
	From civil.Date
	Log  [][]float64
}

// Reached gives, for each need, the chance that it is met by the end of each
// day: the mean over members of Φ((Log − MeanLog)/SD). The chance is off by at
// most 2·10⁻⁷.
func (s Sums) Reached(needs []Need) []Days {
	if len(s.Log) == 0 {
		return nobody(s.From, len(needs))
	}
	r := newReach(s.From, len(s.Log[0]), needs, func(l float64) float64 { return l })
	for _, row := range s.Log {
		r.addLogs(row)
	}
	return r.days(len(s.Log))
}

// Heat is the heat that each member gathers, in °C·d.
//
// Member m has gathered OffsetCd[m] + SumCd[m][i] by the end of the day
// From+i. Sums are 0 or more, never fall as i grows and are never NaN; all
// members are as long as the first. No OffsetCd is none for anybody. Sums of
// past years are thus kept from day to day while what was gathered so far
// moves on; an offset may be below 0, to take away what a past year had
// gathered by then.
type Heat struct {
	From     civil.Date
	SumCd    [][]float64
	OffsetCd []float64
}

// Reached gives what Sums.Reached would of the logarithms, and takes them only
// of the days on which a need is neither out of reach nor surely met.
func (h Heat) Reached(needs []Need) []Days {
	if len(h.SumCd) == 0 {
		return nobody(h.From, len(needs))
	}
	r := newReach(h.From, len(h.SumCd[0]), needs, func(l float64) float64 { return max(leastCd, math.Exp(l)) })
	for m, row := range h.SumCd {
		offset := 0.0
		if m < len(h.OffsetCd) {
			offset = h.OffsetCd[m]
		}
		r.addHeat(row, offset)
	}
	return r.days(len(h.SumCd))
}

// Enough is the heat in °C·d from which on all needs are surely met.
func Enough(needs []Need) float64 {
	enough := 0.0
	for _, n := range needs {
		enough = max(enough, math.Exp(n.surelyLog()))
	}
	return enough
}

func nobody(from civil.Date, needs int) []Days {
	return slices.Repeat([]Days{{From: from}}, needs)
}
