package ensemble_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/weather"
)

// hubbardBrookM are the stations' heights above sea level, in metres (US Forest
// Service, Hubbard Brook; from memory).
var hubbardBrookM = map[string]float64{"HQ": 253, "STA1": 488, "STA6": 747, "STA14": 728, "STA17": 891, "STA23": 670}

// hubbardBrook makes one of the stations another's lender; they lie about 3 km
// apart.
func hubbardBrook(site, station string, means []ensemble.Mean) ensemble.Lender {
	return ensemble.Lender{
		Station: station, AltitudeM: hubbardBrookM[station], Means: means,
		ErrSDK: weather.ErrorSDC(3, hubbardBrookM[site]-hubbardBrookM[station]),
	}
}

// valley is a made-up lender: a course of the year with weather about it.
func valley(from, before civil.Date) []ensemble.Mean {
	chance := rand.New(rand.NewPCG(31, 5))
	var z float64
	return daily(from, before, func(d civil.Date) float64 {
		z = 0.8*z + 0.6*chance.NormFloat64()
		return 5 - 12*math.Cos(2*math.Pi*float64(d.YearDay())/365.25) + 4*z
	})
}

// A place 400 m higher: its mean is 3 K below the valley's instead of the 2.6 K
// that altitude gives, 1 K less so in midwinter, its weather 1.2 times as wide.
func hillOf(means []ensemble.Mean, from, before civil.Date) (own []ensemble.Mean) {
	chance := rand.New(rand.NewPCG(31, 6))
	for _, m := range means {
		course := 5 - 12*math.Cos(2*math.Pi*float64(m.Date.YearDay())/365.25)
		c := course - 3 + math.Cos(2*math.Pi*float64(m.Date.YearDay())/365.25) + 1.2*(m.MeanC-course) + 0.8*chance.NormFloat64()
		if m.Date >= from && m.Date < before {
			own = append(own, ensemble.Mean{Date: m.Date, MeanC: c})
		}
	}
	return own
}

func TestWhatAnOverlapTellsOfALoan(t *testing.T) {
	first, last := civil.Of(2001, 1, 1), civil.Of(2031, 1, 1)
	lender := ensemble.Lender{Station: "VALLEY", AltitudeM: 100, Means: valley(first, last), ErrSDK: 1.8}
	for _, row := range []struct {
		name              string
		from, before      civil.Date
		overlap           int
		january, july     float64 // offset, K
		spread, errSDK    float64
		offsetTol, errTol float64
	}{
		// By hand: 0.4 km · 6.5 K/km = 2.6 K; the error is the lender's assumed one.
		{"without an overlap it is altitude alone, with all that isn't known", last, last, 0, -2.6, -2.6, 1, 1.8, 1e-9, 0.001},
		{"nine days are none", last - 9, last, 9, -2.6, -2.6, 1, 1.8, 1e-9, 0.001},
		// By construction: −3 + 1 in January, −3 − 1 in July, spread √(1.2² + 0.8²/4²) ≈ 1.217;
		// the error 0.8 K of the days and what drift may add, √(0.8² + 0.7²) ≈ 1.06 K.
		{"thirty years decide it", first, last, 10957, -2, -4, 1.217, 1.06, 0.15, 0.08},
	} {
		l := ensemble.Borrow(hillOf(lender.Means, row.from, row.before), 500, lender)
		january, july := l.OffsetK(civil.Of(2031, 1, 1)), l.OffsetK(civil.Of(2031, 7, 2))
		if l.Station != "VALLEY" || l.OverlapDays != row.overlap || math.Abs(l.Spread()-row.spread) > 0.03 || math.Abs(l.ErrSDK-row.errSDK) > row.errTol ||
			math.Abs(january-row.january) > row.offsetTol || math.Abs(july-row.july) > row.offsetTol {
			t.Errorf("%s: %d days of %s, %.3f and %.3f K, spread %.3f, error %.3f K", row.name, l.OverlapDays, l.Station, january, july, l.Spread(), l.ErrSDK)
		}
	}
}

// The more days both have, the nearer the offset comes to the true one, from
// the one that altitude gives; never past it by more than noise.
func TestAnOverlapDrawsTheOffsetAwayFromAltitude(t *testing.T) {
	first, last := civil.Of(2001, 1, 1), civil.Of(2031, 1, 1)
	lender := ensemble.Lender{AltitudeM: 100, Means: valley(first, last), ErrSDK: 0.8}
	before := -2.6
	for _, years := range []int{1, 2, 5, 15, 30} {
		l := ensemble.Borrow(hillOf(lender.Means, civil.Of(2031-years, 1, 1), last), 500, lender)
		mean := (l.OffsetK(civil.Of(2031, 1, 1)) + l.OffsetK(civil.Of(2031, 7, 2))) / 2
		if mean > before+0.03 || mean < -3.05 {
			t.Errorf("%d years: %.3f K after %.3f", years, mean, before)
		}
		before = min(before, mean)
	}
}

func TestALoanOfNothing(t *testing.T) {
	l := ensemble.Borrow(nil, 100, ensemble.Lender{AltitudeM: 100})
	if got := l.At(ensemble.Mean{Date: may3, MeanC: 7.5}); got != 7.5 {
		t.Errorf("a station at the same height was moved to %g °C", got)
	}
	if got := l.At(ensemble.Mean{Date: may3, MeanC: math.NaN()}); !math.IsNaN(got) {
		t.Errorf("a missing day became %g °C", got)
	}
}

// Whatever the days are, a loan is numbers, and its error is no less than what
// drift may add.
func TestALoanIsNumbers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		day := rapid.OneOf(rapid.Float64Range(-60, 50), rapid.Just(7.0), rapid.Just(math.NaN()))
		made := func(name string) []ensemble.Mean {
			c := rapid.SliceOfN(day, 0, 60).Draw(t, name)
			return daily(may3, may3+civil.Date(len(c)), func(d civil.Date) float64 { return c[d-may3] })
		}
		own, lender := made("own"), made("lender")
		l := ensemble.Borrow(own, 300, ensemble.Lender{AltitudeM: 100, Means: lender, ErrSDK: 0.5})
		c := l.At(ensemble.Mean{Date: may3 + 100, MeanC: 12})
		if math.IsNaN(c) || math.IsInf(c, 0) || !(l.ErrSDK >= 0.7) || !(l.Spread() > 0) {
			t.Fatalf("%g °C, error %g K, spread %g", c, l.ErrSDK, l.Spread())
		}
	})
}

// Real days, withheld: an overlap of half a year or more at Hubbard Brook states
// the error of all other years' days within 20 % on the mean of the pairs, and
// of three years within 20 % for each pair.
func TestTheStatedErrorOfALoanIsTheRealOne(t *testing.T) {
	if testing.Short() {
		t.Skip("thirty pairs of stations take a while: TestWhatAnOverlapTellsOfALoan does the same on made-up ones")
	}
	stations := map[string][]ensemble.Mean{}
	for code := range hubbardBrookM {
		stations[code] = openStation(t, "daily_hubbard_brook_"+code+".csv")
	}
	for _, days := range []int{0, 60, 180, 365, 1095} {
		var stated, real, pairs float64
		for site := range stations {
			for lender := range stations {
				if site == lender {
					continue
				}
				s, r, ok := statedAndReal(stations, site, lender, days)
				if !ok {
					t.Errorf("%s from %s has no overlap of %d days", site, lender, days)
					continue
				}
				if days >= 1095 && math.Abs(s/r-1) > 0.20 {
					t.Errorf("%s from %s, %d days: stated %.2f K, real %.2f K", site, lender, days, s, r)
				}
				stated, real, pairs = stated+s*s, real+r*r, pairs+1
			}
		}
		stated, real = math.Sqrt(stated/pairs), math.Sqrt(real/pairs)
		t.Logf("an overlap of %d days: stated %.2f K, real %.2f K", days, stated, real)
		if math.Abs(stated/real-1) > 0.20 {
			t.Errorf("an overlap of %d days: stated %.2f K, real %.2f K", days, stated, real)
		}
	}
}

// statedAndReal fits loans on single stretches of so many days, and holds their
// stated errors against the days of all other years.
func statedAndReal(stations map[string][]ensemble.Mean, site, lender string, days int) (statedK, realK float64, ok bool) {
	var stated, real, n float64
	for year := 1971; year <= 2019; year += 8 {
		from := civil.Of(year, 4, 1)
		var own, others []ensemble.Mean
		for _, m := range stations[site] {
			if m.Date >= from && m.Date < from+civil.Date(days) {
				own = append(own, m)
			} else {
				others = append(others, m)
			}
		}
		l := ensemble.Borrow(own, hubbardBrookM[site], hubbardBrook(site, lender, stations[lender]))
		if l.OverlapDays < days*8/10 {
			continue
		}
		e, k, lent := 0.0, 0.0, map[civil.Date]float64{}
		for _, m := range stations[lender] {
			lent[m.Date] = l.At(m)
		}
		for _, m := range others {
			if c, there := lent[m.Date]; there {
				e, k = e+sq(m.MeanC-c), k+1
			}
		}
		stated, real, n = stated+sq(l.ErrSDK), real+e/k, n+1
	}
	return math.Sqrt(stated / n), math.Sqrt(real / n), n > 0
}
