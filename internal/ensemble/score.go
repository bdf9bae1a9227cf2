package ensemble

import "budcall/internal/civil"

// CRPS is the continuous ranked probability score of a day distribution
// against the day on which it happened, in days; 0 is best.
//
// It is the sum over days of (F(d) − 1{d ≥ observed})² (Hersbach 2000, Wea.
// Forecasting 15:559-570, for whole days). Days beyond the horizon count as
// far as to the observed day.
func CRPS(d Days, observed civil.Date) float64 {
	var sum float64
	first, last := d.From, d.From+civil.Date(len(d.By))-1
	for day := min(first, observed); day <= max(last, observed); day++ {
		miss := d.On(day)
		if day >= observed {
			miss = 1 - miss
		}
		sum += miss * miss
	}
	return sum
}

// CRPSBetween is the same for what happened on a day that isn't known, after
// one day and no later than another: of the sum only the days count on which
// it is known whether it had happened, up to after and from by on. Where after
// is the day before by that is all of them. The less is known, the less a
// forecast can be wrong; it stays a proper score, since what is left out
// doesn't depend on the forecast (Gneiting & Ranjan 2011, J. Bus. Econ. Stat.
// 29:411-422, from memory; a weight of 0 between).
func CRPSBetween(d Days, after, by civil.Date) float64 {
	sum := CRPS(d, by)
	for day := max(after+1, min(d.From, by)); day < by; day++ {
		sum -= d.On(day) * d.On(day)
	}
	return sum
}
