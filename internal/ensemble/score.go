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
