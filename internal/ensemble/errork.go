package ensemble

import (
	"math"

	"budcall/internal/civil"
)

// The error of a short-range forecast of a daily mean, one standard deviation
// in K: it grows in a straight line from day 1 to day 10 and on. Our assumption,
// as long as no issued forecasts have been compared with what came.
const (
	errorDay1K  = 1.5
	errorDay10K = 4.0
)

// ErrorsK are the errors of a short-range forecast by day ahead, one standard
// deviation in K: the first is of the day of issue itself. Beyond the last, and
// for none at all, the assumption stands: 1.5 K on day 1, 4 K on day 10.
type ErrorsK []float64

// Of gives the error of a day ahead; day 1 is the day of issue.
func (e ErrorsK) Of(day int) float64 {
	if day >= 1 && day <= len(e) {
		return e[day-1]
	}
	return errorDay1K + (errorDay10K-errorDay1K)*float64(day-1)/9
}

// Came is a day's mean as it was forecast and as it was observed.
type Came struct {
	Issued    civil.Date
	Date      civil.Date // day 1 is Issued
	ForecastC float64    // °C
	ObservedC float64    // °C; NaN: not known
}

const (
	assumedDays = 60 // compared days as which the assumption counts
	learnedDays = 10 // ahead; beyond them hardly anything is compared
	wildK       = 25 // a miss by so much is a wrong reading or place, and isn't counted
)

// LearnErrors estimates the errors from forecasts that were issued and what
// came. For each day ahead, with n compared days,
//
//	σe² = (60·assumed² + Σ(forecast − observed)²)/(60 + n)
//
// so that two months weigh as much as the assumption (ours). A forecast's bias
// is part of its error. Errors don't shrink with the lead: where they would,
// neighbouring days share their mean square, each by its weight.
func LearnErrors(came []Came) ErrorsK {
	var sum, n [learnedDays]float64
	for k := range learnedDays {
		a := ErrorsK(nil).Of(k + 1)
		sum[k], n[k] = assumedDays*a*a, assumedDays
	}
	for _, c := range came {
		k, miss := int(c.Date-c.Issued), c.ForecastC-c.ObservedC
		if k >= 0 && k < learnedDays && math.Abs(miss) < wildK { // false for NaN
			sum[k], n[k] = sum[k]+miss*miss, n[k]+1
		}
	}
	return neverLess(sum[:], n[:])
}

// neverLess gives the roots of the mean squares, pooled from left to right until
// none is less than the one before it.
func neverLess(sum, n []float64) ErrorsK {
	type pool struct {
		sum, n float64
		days   int
	}
	var pools []pool
	for k := range sum {
		p := pool{sum[k], n[k], 1}
		for len(pools) > 0 {
			last := pools[len(pools)-1]
			if last.sum/last.n <= p.sum/p.n {
				break
			}
			p = pool{p.sum + last.sum, p.n + last.n, p.days + last.days}
			pools = pools[:len(pools)-1]
		}
		pools = append(pools, p)
	}
	var e ErrorsK
	for _, p := range pools {
		for range p.days {
			e = append(e, math.Sqrt(p.sum/p.n))
		}
	}
	return e
}
