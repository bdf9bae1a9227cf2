package ensemble

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// Lender is a station whose days may stand for those of a place.
type Lender struct {
	Station   string
	AltitudeM float64 // metres above sea level
	Means     []Mean  // as read at the station, sorted by date
	ErrSDK    float64 // assumed error of one of its days at the place once altitude is corrected, see weather.ErrorSDC
}

// Loan is how a lender's days are carried to a place, and how well.
type Loan struct {
	Station     string
	OverlapDays int     // that both have
	ErrSDK      float64 // stated error of a carried day, one standard deviation in K

	offsetK  [offsetTerms]float64 // of a year's course, by yearly wave
	climateC [courseTerms]float64 // the lender's
	spread   float64              // of the place's departures over the lender's
}

// How many numbers a yearly course has: a mean, and two for each wave.
const (
	offsetTerms = 3
	courseTerms = 7
)

// What is assumed before two stations are seen side by side: of the size that
// the six stations at Hubbard Brook show among each other (230 to 890 m, a few
// km apart, read in whole degrees), tried on overlaps of 60 days to 3 years
// against all other years.
const (
	levelSDK     = 0.8  // of the mean offset about the one that altitude gives
	waveSDK      = 0.2  // of each number of its yearly wave; without the wave errors were 2 % larger
	dayErrSDK    = 1.2  // of single days at least, once the offset is known
	driftSDK     = 0.7  // of an offset from the years of the overlap to others
	daysAlike    = 30.0 // successive days that tell as much of an offset as one, since it drifts
	spreadDays   = 60.0 // of overlap as which the assumption counts that spreads are equal
	errorDays    = 30.0 // the same of the assumed error
	leastOverlap = 10   // days below which only altitude is corrected
)

// Borrow fits how a lender's days l are carried to a place that has a few days
// s of its own:
//
//	s(t) = l(t) + o(t) + (r − 1)·(l(t) − c(t)),  o(t) = o₀ + o₁ cos ωt + o₂ sin ωt
//
// c is the lender's own yearly course (three waves), o the offset, by least
// squares on the days that both have, with a Gaussian assumed beforehand: o₀
// about what 6.5 K per km give, the wave about none. So a short overlap moves the
// offset a little, a long one decides it, and without one the altitude does. r
// is the quotient of the spreads of the departures, drawn to 1 alike. Not the
// regression's slope, which would take spread away: members shall vary as the
// place does.
//
// The stated error is that of the days both have, drawn to the lender's assumed
// one, with what isn't known of the offset and 0.7 K for its drift from those
// years to others.
func Borrow(own []Mean, altitudeM float64, from Lender) Loan {
	ofOffset := levelSDK*levelSDK + waveSDK*waveSDK + driftSDK*driftSDK // part of what the lender is assumed to err by
	assumedVar := max(dayErrSDK*dayErrSDK, from.ErrSDK*from.ErrSDK-ofOffset)
	l := Loan{Station: from.Station, spread: 1, ErrSDK: math.Sqrt(assumedVar + ofOffset)}
	l.offsetK[0] = (from.AltitudeM - altitudeM) / 1000 * weather.LapseKPerKm
	l.climateC = courseOf(from.Means)
	both := overlap(own, from.Means)
	l.OverlapDays = len(both)
	if len(both) < leastOverlap {
		return l
	}
	errVar, byAltitude := assumedVar, l.offsetK
	var offsetVar float64
	for range 2 { // the weight of the days hangs on their error, which hangs on the offset
		l.offsetK, l.spread = byAltitude, 1
		offsetVar = l.fitOffset(both, errVar)
		l.spread = l.fitSpread(both)
		errVar = l.errorVar(both, assumedVar)
	}
	l.ErrSDK = math.Sqrt(errVar + offsetVar + driftSDK*driftSDK)
	return l
}

// At carries the lender's mean of a day to the place, in °C.
func (l Loan) At(m Mean) float64 {
	return m.MeanC + l.OffsetK(m.Date) + (l.spread-1)*(m.MeanC-valueOf(l.climateC[:], m.Date))
}

// OffsetK gives by how many K the place is warmer than the lender on a day of
// the year.
func (l Loan) OffsetK(day civil.Date) float64 { return valueOf(l.offsetK[:], day) }

// Spread gives how much wider the place's departures are than the lender's.
func (l Loan) Spread() float64 { return l.spread }

// pair is a day that both have.
type pair struct {
	day           civil.Date
	ownC, lenderC float64
}

// overlap gives the days that both have, sorted as they are.
func overlap(own, lender []Mean) []pair {
	var both []pair
	for i, k := 0, 0; i < len(own) && k < len(lender); {
		switch a, b := own[i], lender[k]; {
		case a.Date < b.Date:
			i++
		case a.Date > b.Date:
			k++
		default:
			if !math.IsNaN(a.MeanC) && !math.IsNaN(b.MeanC) {
				both = append(both, pair{a.Date, a.MeanC, b.MeanC})
			}
			i, k = i+1, k+1
		}
	}
	return both
}

// fitOffset fits the yearly course of the offset about the one that is there,
// and gives the variance of its error, in K², averaged over the days.
func (l *Loan) fitOffset(both []pair, errVar float64) (offsetVar float64) {
	prior := [offsetTerms]float64{levelSDK, waveSDK, waveSDK}
	precision, moved := mat.NewSymDense(offsetTerms, nil), mat.NewVecDense(offsetTerms, nil)
	for i, sd := range prior {
		precision.SetSym(i, i, 1/(sd*sd))
	}
	weight := 1 / (errVar * daysAlike)
	for _, p := range both {
		x := waves(offsetTerms, p.day)
		y := p.ownC - p.lenderC - l.offsetK[0]
		for i := range x {
			moved.SetVec(i, moved.AtVec(i)+weight*x[i]*y)
			for k := i; k < len(x); k++ {
				precision.SetSym(i, k, precision.At(i, k)+weight*x[i]*x[k])
			}
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(precision) { // the assumption alone makes it definite
		return levelSDK*levelSDK + waveSDK*waveSDK
	}
	var by mat.VecDense
	var variance mat.SymDense
	if chol.SolveVecTo(&by, moved) != nil || chol.InverseTo(&variance) != nil {
		return levelSDK*levelSDK + waveSDK*waveSDK
	}
	for i := range l.offsetK {
		l.offsetK[i] += by.AtVec(i)
	}
	return variance.At(0, 0) + (variance.At(1, 1)+variance.At(2, 2))/2
}

// fitSpread gives the quotient of the spreads about their courses.
func (l *Loan) fitSpread(both []pair) float64 {
	own, lender := make([]float64, len(both)), make([]float64, len(both))
	for i, p := range both {
		c := valueOf(l.climateC[:], p.day)
		own[i], lender[i] = p.ownC-c-l.OffsetK(p.day), p.lenderC-c
	}
	a, b := stat.StdDev(own, nil), stat.StdDev(lender, nil)
	if a <= 0 || b <= 0 {
		return 1
	}
	n := float64(len(both))
	return math.Exp(math.Log(a/b) * n / (n + spreadDays))
}

// errorVar gives the mean square error of carried days, in K².
func (l *Loan) errorVar(both []pair, assumedVar float64) float64 {
	sum := errorDays * assumedVar
	for _, p := range both {
		e := p.ownC - l.At(Mean{Date: p.day, MeanC: p.lenderC})
		sum += e * e
	}
	return sum / (errorDays + float64(len(both)))
}
