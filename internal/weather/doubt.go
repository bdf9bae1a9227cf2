package weather

import "math"

// Doubt is the stated error of a day that wasn't read where it is used, in
// three parts that are independent of each other, each one standard deviation
// in K. Errors of successive days hang together (a sheltered place stays
// sheltered, a spell of clear nights lasts), so the mean of n days is known
// less well than 1/√n of a day's error would have it. With SpellPersists as ρ
//
//	cov(i, k) = LevelK² + SpellK²·ρ^|i−k| + DayK²·[i = k]
//
// At Hubbard Brook a day stands for another station's within 1.6 K, the mean
// of 7 days within 1.1 K, of 30 within 0.95 K; were days independent it would
// be 0.6 and 0.3 K.
type Doubt struct {
	DayK   float64 // of this day alone
	SpellK float64 // fades within weeks
	LevelK float64 // the same on all days of a season
}

// SpellPersists is what is left of a spell's error a day later. With it the
// three parts give the errors of means over 1 to 30 days between the six
// stations of Hubbard Brook within 3 %.
const SpellPersists = 0.9

// SDK is the error of the day, one standard deviation in K; 0 for none.
func (d Doubt) SDK() float64 {
	return math.Sqrt(sq(d.DayK) + sq(d.SpellK) + sq(d.LevelK))
}

// MeanSDK is the error of the mean of so many successive days that are
// doubted alike, one standard deviation in K.
func (d Doubt) MeanSDK(days int) float64 {
	if days < 1 {
		return math.NaN()
	}
	n := float64(days)
	return math.Sqrt(sq(d.LevelK) + sq(d.SpellK)*spellShare(days) + sq(d.DayK)/n)
}

// spellShare is the variance of the mean of n days of an error that persists,
// where a day's is 1: (n + 2 Σ (n−k) ρ^k)/n².
func spellShare(days int) float64 {
	n, sum, rho := float64(days), 0.0, 1.0
	for k := 1; k < days; k++ {
		rho *= SpellPersists
		sum += float64(days-k) * rho
	}
	return (n + 2*sum) / (n * n)
}

// Together gives how doubted days err together, as one shift of each in K: the
// shifts add up, each times its weight, to one standard deviation of the
// weighted sum of the errors, and each is what is expected of its day when
// that sum errs so. A day without doubt or weight may still have one of none.
// The two slices are as long as each other. It is nil where there is no doubt.
func Together(doubts []Doubt, weights []float64) []float64 {
	n := len(doubts)
	shift := make([]float64, n)
	level, before := 0.0, 0.0
	for i, d := range doubts {
		level += weights[i] * d.LevelK
		before *= SpellPersists
		shift[i] = d.SpellK * before
		before += weights[i] * d.SpellK
	}
	after, variance := 0.0, 0.0
	for i := n - 1; i >= 0; i-- {
		d := doubts[i]
		after = after*SpellPersists + weights[i]*d.SpellK
		shift[i] += d.LevelK*level + d.SpellK*after + sq(d.DayK)*weights[i]
		variance += weights[i] * shift[i]
	}
	if !(variance > 0) {
		return nil
	}
	sd := math.Sqrt(variance)
	for i := range shift {
		shift[i] /= sd
	}
	return shift
}
