package weather

import "budcall/internal/civil"

// LastRead gives the last of some sorted days that has a usable reading; zero
// where none has.
func LastRead(days []Day) civil.Date {
	for i := len(days) - 1; i >= 0; i-- {
		if _, _, ok := days[i].Mean(); ok {
			return days[i].Date
		}
	}
	return 0
}

// SameValues tells whether two days hold the same three values, or lack the
// same: they may differ by mark or method.
func (d Day) SameValues(o Day) bool {
	return sameC(d.MinC, o.MinC) && sameC(d.MaxC, o.MaxC) && sameC(d.MeanC, o.MeanC)
}
