package ensemble_test

import (
	"math"
	"reflect"
	"testing"

	"gonum.org/v1/gonum/stat"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

// bloom is when a made-up stage comes: at a heat sum above 5 °C from 1 March.
type bloom struct{ heatCd float64 }

const bloomDays = 150

// of gives the day after 1 March on which it comes, bloomDays for never.
func (b bloom) of(meansC []float64) float64 {
	var sum float64
	for i, c := range meansC {
		if sum += max(0, c-5); sum >= b.heatCd {
			return float64(i)
		}
	}
	return bloomDays
}

// score gives the CRPS of a forecast from 1 March against what came, in days.
func (b bloom) score(m ensemble.Members, truth []float64) float64 {
	days := make([]float64, len(m.TempC))
	for i, t := range m.TempC {
		days[i] = b.of(t)
	}
	stat.SortWeighted(days, nil)
	d := ensemble.Days{From: m.From}
	for i := range bloomDays {
		d.By = append(d.By, stat.CDF(float64(i), stat.Empirical, days, nil))
	}
	return ensemble.CRPS(d, m.From+civil.Date(b.of(truth)))
}

// years gives the means of some years.
func years(means []ensemble.Mean, first, last int) (of []ensemble.Mean) {
	for _, m := range means {
		if y := m.Date.Year(); y >= first && y <= last {
			of = append(of, m)
		}
	}
	return of
}

// trial forecasts each year of a station in turn, as it could be then, from
// what past gives for it; out is the mean CRPS in days.
func trial(means []ensemble.Mean, first, last int, past func(year int) ensemble.Past) (crps float64, n int) {
	b := bloom{95} // °C·d, flowering of silver birch in the shipped profile
	for year := first; year <= last; year++ {
		truth := window(means, civil.Of(year, 3, 1), bloomDays)
		if math.IsNaN(stat.Mean(truth, nil)) {
			continue
		}
		m, _ := past(year).Members(ensemble.Alignment{Start: march1, Year: year, Horizon: bloomDays})
		crps, n = crps+b.score(m, truth), n+1
	}
	return crps / float64(n), n
}

// Made-up days, so that no trend is taken out and each year's mean tells its
// source: own years lie at their number above 2000, a lender's 10 K higher.
func TestWhereMembersComeFrom(t *testing.T) {
	at := func(offset float64) func(civil.Date) float64 {
		return func(d civil.Date) float64 { return float64(d.Year()-2000) + offset }
	}
	span := func(first, last int, offset float64) []ensemble.Mean {
		return daily(civil.Of(first, 1, 1), civil.Of(last+1, 1, 1), at(offset))
	}
	long := ensemble.Lender{Station: "LONG", Means: span(2001, 2030, 10), ErrSDK: 0.5}
	short := ensemble.Lender{Station: "SHORT", Means: span(2024, 2030, 10), ErrSDK: 0.5}
	holed := span(2028, 2030, 0)
	for i := range holed {
		if holed[i].Date.Year() == 2029 && holed[i].Date.Month() == 5 {
			holed[i].MeanC = math.NaN()
		}
	}
	normals := &ensemble.Normals{MidYear: 2005.5, MeanC: ensemble.Months{-5, -5, -1, 4, 10, 15, 17, 16, 11, 5, 0, -3}}
	for _, row := range []struct {
		name string
		past ensemble.Past
		want ensemble.Origin // of loans only Station and Years
		all  int
	}{
		{"ten own years are enough, and nobody lends", ensemble.Past{Own: span(2021, 2030, 0), Lenders: []ensemble.Lender{long}, Normals: normals}, ensemble.Origin{Own: 10}, 10},
		{"with nine the lender's others come in", ensemble.Past{Own: span(2022, 2030, 0), Lenders: []ensemble.Lender{long}, Normals: normals}, ensemble.Origin{Own: 9, Lent: lent("LONG", 21)}, 30},
		{"a site without any day borrows all", ensemble.Past{Lenders: []ensemble.Lender{long}}, ensemble.Origin{Lent: lent("LONG", 30)}, 30},
		{"the first lender comes first, the next only while years are few", ensemble.Past{Lenders: []ensemble.Lender{short, long}}, ensemble.Origin{Lent: append(lent("SHORT", 7), lent("LONG", 23)...)}, 30},
		{"what a lender completes counts as lent", ensemble.Past{Own: holed, Lenders: []ensemble.Lender{short}}, ensemble.Origin{Own: 2, Lent: lent("SHORT", 5)}, 7},
		{"a lender that has nothing isn't named", ensemble.Past{Own: span(2029, 2030, 0), Lenders: []ensemble.Lender{{Station: "NEW"}}}, ensemble.Origin{Own: 2}, 2},
		{"where too few can be had, generated ones make thirty", ensemble.Past{Own: span(2028, 2030, 0), Lenders: []ensemble.Lender{short}, Normals: normals}, ensemble.Origin{Own: 3, Lent: lent("SHORT", 4), Generated: 23}, 30},
		{"without any day all are generated", ensemble.Past{Normals: normals}, ensemble.Origin{Generated: 30}, 30},
		{"normals that can't be generate nothing", ensemble.Past{Normals: &ensemble.Normals{MeanC: ensemble.Months{451}}}, ensemble.Origin{}, 0},
		{"and without normals there is nothing", ensemble.Past{}, ensemble.Origin{}, 0},
	} {
		m, o := row.past.Members(ensemble.Alignment{Start: march1, Year: 2031, Horizon: 150})
		for i := range o.Lent {
			o.Lent[i].Loan = ensemble.Loan{Station: o.Lent[i].Station}
		}
		if !reflect.DeepEqual(o, row.want) || len(m.Years) != row.all || len(m.TempC) != row.all {
			t.Errorf("%s: %+v, %d members of %v", row.name, o, len(m.TempC), m.Years)
		}
		for i, c := range m.TempC {
			if len(c) != 150 || math.IsNaN(stat.Mean(c, nil)) {
				t.Errorf("%s: the member of %d has a hole", row.name, m.Years[i])
			}
		}
	}
}

func lent(station string, years int) []ensemble.Lent {
	return []ensemble.Lent{{Loan: ensemble.Loan{Station: station}, Years: years}}
}

func TestOriginIsSaid(t *testing.T) {
	for want, o := range map[string]ensemble.Origin{
		"no years at all":     {},
		"12 years of its own": {Own: 12},
		"2 years of its own, 28 of KOL-MET (its days stand for the site's within 1.7 K; 731 days seen side by side)":                                          {Own: 2, Lent: []ensemble.Lent{{Loan: ensemble.Loan{Station: "KOL-MET", OverlapDays: 731, ErrSDK: 1.72}, Years: 28}}},
		"4 of KOL-MET (its days stand for the site's within 1.8 K; never seen side by side, corrected for altitude alone), 26 generated from monthly normals": {Lent: []ensemble.Lent{{Loan: ensemble.Loan{Station: "KOL-MET", ErrSDK: 1.8}, Years: 4}}, Generated: 26},
	} {
		if got := o.String(); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}

// An own day stands even in a year that others complete.
func TestOwnDaysGoBeforeBorrowedOnes(t *testing.T) {
	own := daily(civil.Of(2030, 3, 1), civil.Of(2030, 4, 1), func(civil.Date) float64 { return 1 })
	lender := ensemble.Lender{Station: "LONG", Means: daily(civil.Of(2030, 1, 1), civil.Of(2031, 1, 1), func(civil.Date) float64 { return 9 })}
	m, _ := ensemble.Past{Own: own, Lenders: []ensemble.Lender{lender}}.Members(ensemble.Alignment{Start: march1, Year: 2031, Horizon: 62})
	if len(m.TempC) != 1 {
		t.Fatalf("members of %v", m.Years)
	}
	for i, c := range m.TempC[0] {
		if isOwn := c == 1; isOwn != (i < 31) {
			t.Errorf("day %d is %g °C", i, c)
		}
	}
}

// Members of borrowed years are worth as much as own ones, at Hubbard Brook as
// it could have been each year: a site with two years of its own and a lender,
// against its own thirty. Two years alone would cost about half more.
func TestBorrowedYearsForecastAsWellAsOwnOnes(t *testing.T) {
	for _, row := range []struct{ site, lender string }{{"STA1", "HQ"}, {"HQ", "STA6"}, {"STA6", "STA14"}, {"STA14", "STA1"}} {
		own, long := openStation(t, "daily_hubbard_brook_"+row.site+".csv"), openStation(t, "daily_hubbard_brook_"+row.lender+".csv")
		past := func(ownYears int, lenders bool) func(int) ensemble.Past {
			return func(year int) ensemble.Past {
				p := ensemble.Past{Site: row.site, AltitudeM: hubbardBrookM[row.site], Own: years(own, year-ownYears, year-1)}
				if lenders {
					p.Lenders = []ensemble.Lender{hubbardBrook(row.site, row.lender, years(long, year-30, year-1))}
				}
				return p
			}
		}
		const first, last = 1995, 2020
		full, n := trial(own, first, last, past(30, false))
		two, _ := trial(own, first, last, past(2, false))
		borrowed, _ := trial(own, first, last, past(2, true))
		altitude, _ := trial(own, first, last, past(0, true))
		t.Logf("%s from %s, %d years: own %.2f, two years and a loan %.2f, no year and a loan %.2f, two years alone %.2f days", row.site, row.lender, n, full, borrowed, altitude, two)
		if borrowed > 1.10*full || borrowed >= two || n < 20 {
			t.Errorf("%s from %s, %d years: own %.2f, borrowed %.2f, two alone %.2f days", row.site, row.lender, n, full, borrowed, two)
		}
	}
}

// Years generated from the normals of 1961 to 1990 forecast 1991 to 2017 about
// as well as thirty years of the place's own do; the spreads that nobody gave
// are northern Europe's.
func TestGeneratedYearsForecastNearlyAsWellAsOwnOnes(t *testing.T) {
	for _, file := range []string{"daily_helsinki_vantaa_1952-2017.csv", "daily_berlin_dahlem_1950-2021.csv"} {
		own := openStation(t, file)
		normals := ensemble.Normals{MidYear: 1976, MeanC: monthlyMeans(years(own, 1961, 1990))}
		crps := func(ownYears int, n *ensemble.Normals) float64 {
			c, _ := trial(own, 1991, 2017, func(year int) ensemble.Past {
				return ensemble.Past{Site: "KOLMI", Own: years(own, year-ownYears, year-1), Normals: n}
			})
			return c
		}
		full, none, four, fourAlone := crps(30, nil), crps(0, &normals), crps(4, &normals), crps(4, nil)
		t.Logf("%s: thirty own years %.2f, generated ones %.2f, four and generated %.2f, four alone %.2f days", file, full, none, four, fourAlone)
		if none > 1.10*full || four > 1.10*full || four >= fourAlone {
			t.Errorf("%s: thirty own years %.2f, generated ones %.2f, four and generated %.2f, four alone %.2f days", file, full, none, four, fourAlone)
		}
	}
}

// monthlyMeans are the means of all days of each month.
func monthlyMeans(means []ensemble.Mean) (c ensemble.Months) {
	var n ensemble.Months
	for _, m := range means {
		n[m.Date.Month()-1]++
	}
	for _, m := range means {
		c[m.Date.Month()-1] += m.MeanC / n[m.Date.Month()-1]
	}
	return c
}
