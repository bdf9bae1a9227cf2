package ensemble

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// Months is a number for each month, January first.
type Months [12]float64

// Normals is the climate of a place by month, as weather services publish it.
// Spreads and persistence that nobody gives are NorthernSpread's.
type Normals struct {
	AltitudeM float64 // metres above sea level, to which MeanC belongs
	MidYear   float64 // the middle of the years of the normals, counted from their starts: 2006 for 1991 to 2020
	MeanC     Months  // mean temperature, °C

	DaySDK      Months // spread of daily means about the course of the year, K
	Persistence Months // correlation of a day's departure with the next one's
	MonthSDK    Months // spread of a month's mean from year to year, K
}

// NorthernSpread is how daily means vary about monthly normals in northern
// Europe: the mean of Helsinki-Vantaa, 1952 to 2017, and Berlin-Dahlem, 1950 to
// 2021 (GHCN-Daily and DWD; days about a smoothed course and a linear warming).
var NorthernSpread = Normals{
	DaySDK:      Months{5.8, 5.4, 4.0, 3.4, 3.7, 3.5, 3.1, 2.8, 2.8, 3.3, 3.8, 5.0},
	Persistence: Months{.83, .86, .82, .79, .78, .77, .79, .76, .73, .77, .78, .80},
	MonthSDK:    Months{3.3, 3.3, 2.3, 1.5, 1.5, 1.6, 1.6, 1.3, 1.4, 1.7, 1.9, 2.8},
}

// WarmingKPerYear is by how much northern springs have been warming, by which
// normals are brought to the running year: Helsinki-Vantaa 0.039 K a year 1952
// to 2017, Berlin-Dahlem 0.026 1950 to 2021 (least squares on yearly means).
const WarmingKPerYear = 0.03

// At gives the normals of a place at another altitude, by 6.5 K per km.
func (n Normals) At(altitudeM float64) Normals {
	for i := range n.MeanC {
		n.MeanC[i] += (n.AltitudeM - altitudeM) / 1000 * weather.LapseKPerKm
	}
	n.AltitudeM = altitudeM
	return n
}

// completed gives the normals with what is left out taken from NorthernSpread.
func (n Normals) completed() Normals {
	for _, f := range []struct{ to, from *Months }{
		{&n.DaySDK, &NorthernSpread.DaySDK}, {&n.Persistence, &NorthernSpread.Persistence}, {&n.MonthSDK, &NorthernSpread.MonthSDK},
	} {
		if *f.to == (Months{}) {
			*f.to = *f.from
		}
	}
	return n
}

// Check says what of the normals no climate can have.
func (n Normals) Check() error {
	n = n.completed()
	for i := range 12 {
		switch {
		case !(math.Abs(n.MeanC[i]) <= 50):
			return fmt.Errorf("the mean of month %d is %g °C: give -50 to 50", i+1, n.MeanC[i])
		case !(n.DaySDK[i] > 0 && n.DaySDK[i] <= 15):
			return fmt.Errorf("the spread of days in month %d is %g K: give more than 0 and at most 15", i+1, n.DaySDK[i])
		case !(n.MonthSDK[i] > 0 && n.MonthSDK[i] <= n.DaySDK[i]):
			return fmt.Errorf("the spread of month %d between years is %g K: give more than 0 and at most that of its days, %g", i+1, n.MonthSDK[i], n.DaySDK[i])
		case !(n.Persistence[i] >= 0 && n.Persistence[i] < 1):
			return fmt.Errorf("the persistence of month %d is %g: give 0 to below 1", i+1, n.Persistence[i])
		}
	}
	return nil
}

// monthTerms are the terms of a yearly course that twelve months settle: the
// mean, five waves, and of the sixth the sine, as its cosine is 0 in mid-month.
var monthTerms = [12]int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12}

// smoothed gives the course of a year whose means over the months are given,
// to the last digit in a year of 365 days.
func (m Months) smoothed() []float64 {
	a, b := mat.NewDense(12, 12, nil), mat.NewVecDense(12, m[:])
	first := civil.Of(2031, 1, 1)
	for day := first; day.Year() == first.Year(); day++ {
		month := day.Month()
		n := float64(civil.Of(2031, month+1, 1) - civil.Of(2031, month, 1))
		for k, x := range waves(mostTerms, day) {
			for i, term := range monthTerms {
				if term == k {
					a.Set(int(month)-1, i, a.At(int(month)-1, i)+x/n)
				}
			}
		}
	}
	var x mat.VecDense
	course := make([]float64, mostTerms)
	if x.SolveVec(a, b) != nil { // the matrix is the calendar's, and regular
		return course
	}
	for i, term := range monthTerms {
		course[term] = x.AtVec(i)
	}
	return course
}
