package ensemble_test

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

// vantaa are the monthly means of Helsinki-Vantaa, 1991 to 2020 (WMO
// Climatological Normals, NOAA NCEI accession 0253808), 51 m above sea level.
var vantaa = ensemble.Normals{
	AltitudeM: 51, MidYear: 2006,
	MeanC: ensemble.Months{-4.3, -4.9, -1.4, 4.5, 10.9, 15.3, 18.3, 16.6, 11.6, 5.8, 1.4, -1.9},
}

// moments of generated years by month.
type moments struct{ meanC, daySDK, monthSDK, persistence ensemble.Months }

func momentsOf(g *ensemble.Generator, year, members int, normalC ensemble.Months) (m moments) {
	var days, next, monthly [12][]float64
	for k := range members {
		from := civil.Of(year, 1, 1)
		t := g.Year(k, from, 365)
		var of [12][]float64
		for i, c := range t {
			mo := (from + civil.Date(i)).Month() - 1
			of[mo] = append(of[mo], c)
		}
		for mo, c := range of {
			days[mo] = append(days[mo], c[:len(c)-1]...)
			next[mo] = append(next[mo], c[1:]...)
			monthly[mo] = append(monthly[mo], stat.Mean(c, nil))
		}
	}
	for mo := range days {
		m.meanC[mo] = stat.Mean(monthly[mo], nil)
		m.monthSDK[mo] = stat.StdDev(monthly[mo], nil)
	}
	// Spread and persistence about the course, which moves within a month: about
	// each day's own mean over the members.
	for mo := range days {
		n := len(days[mo]) / members
		var dd, nn, dn float64
		for d := range n {
			var a, b []float64
			for k := range members {
				a, b = append(a, days[mo][k*n+d]), append(b, next[mo][k*n+d])
			}
			dd, nn, dn = dd+stat.Variance(a, nil), nn+stat.Variance(b, nil), dn+stat.Covariance(a, b, nil)
		}
		m.daySDK[mo], m.persistence[mo] = math.Sqrt(dd/float64(n)), dn/math.Sqrt(dd*nn)
	}
	return m
}

// Four hundred years; a month's mean has a standard error of MonthSDK/20, its
// spread one of 1/√800 of itself. Where the given persistence alone spreads
// months more than given, it gives way, by 0.08 in May with these.
func TestGeneratedMonthsHaveTheMomentsOfTheNormals(t *testing.T) {
	const members = 400
	n := vantaa
	g, err := ensemble.NewGenerator("KOLMI", n, 2005)
	if err != nil {
		t.Fatal(err)
	}
	spread := ensemble.NorthernSpread
	got := momentsOf(g, 2005, members, n.MeanC)
	warmer := ensemble.WarmingKPerYear * (2005.5 - 2006)
	for i := range 12 {
		if want, se := n.MeanC[i]+warmer, spread.MonthSDK[i]/math.Sqrt(members); math.Abs(got.meanC[i]-want) > 3.5*se {
			t.Errorf("month %d: mean %.2f °C, want %.2f ± %.2f", i+1, got.meanC[i], want, se)
		}
		if want := spread.DaySDK[i]; math.Abs(got.daySDK[i]/want-1) > 0.08 {
			t.Errorf("month %d: days spread %.2f K, want %.2f", i+1, got.daySDK[i], want)
		}
		if want := spread.MonthSDK[i]; math.Abs(got.monthSDK[i]/want-1) > 0.15 {
			t.Errorf("month %d: months spread %.2f K, want %.2f", i+1, got.monthSDK[i], want)
		}
		if want := spread.Persistence[i]; math.Abs(got.persistence[i]-want) > 0.09 {
			t.Errorf("month %d: persistence %.2f, want %.2f", i+1, got.persistence[i], want)
		}
	}
}

// Spreads that a user gives are those that come, even where months vary little
// or nearly as much as days.
func TestGeneratedSpreadsAreTheOnesGiven(t *testing.T) {
	all := func(v float64) (m ensemble.Months) {
		for i := range m {
			m[i] = v
		}
		return m
	}
	for _, row := range []struct {
		name                    string
		day, persistence, month float64
	}{
		{"as AR(1) alone has it", 4, 0.8, 2.00},
		{"months that vary more have a slow part", 4, 0.8, 2.6},
		{"months that vary less take the persistence back", 4, 0.8, 1.2},
		{"no persistence, and months that vary by chance", 4, 0, 0.725}, // 4/√30.4
	} {
		n := ensemble.Normals{MidYear: 2006, MeanC: all(10), DaySDK: all(row.day), Persistence: all(row.persistence), MonthSDK: all(row.month)}
		g, err := ensemble.NewGenerator("KOLMI", n, 2006)
		if err != nil {
			t.Fatal(err)
		}
		got := momentsOf(g, 2006, 300, n.MeanC)
		if day, month := stat.Mean(got.daySDK[:], nil), stat.Mean(got.monthSDK[:], nil); math.Abs(day/row.day-1) > 0.03 || math.Abs(month/row.month-1) > 0.05 {
			t.Errorf("%s: days spread %.2f K, months %.2f K, want %.2f and %.2f", row.name, day, month, row.day, row.month)
		}
	}
}

func TestAGeneratedYearIsTheSameAlways(t *testing.T) {
	made := func(site string, year int) *ensemble.Generator {
		g, err := ensemble.NewGenerator(site, vantaa, year)
		if err != nil {
			t.Fatal(err)
		}
		return g
	}
	g := made("KOLMI", 2031)
	march := g.Year(3, civil.Of(2031, 3, 1), 100)
	if !reflect.DeepEqual(march, made("KOLMI", 2031).Year(3, civil.Of(2031, 1, 1), 200)[59:159]) {
		t.Error("from 1 January the same days are other weather")
	}
	for name, other := range map[string][]float64{
		"another member": g.Year(4, civil.Of(2031, 3, 1), 100),
		"another site":   made("VIITA", 2031).Year(3, civil.Of(2031, 3, 1), 100),
		"another year":   made("KOLMI", 2032).Year(3, civil.Of(2032, 3, 1), 100),
	} {
		if r := stat.Correlation(march[:30], other[:30], nil); reflect.DeepEqual(march, other) || math.Abs(r) > 0.9 {
			t.Errorf("%s has the same weather: correlation %.2f", name, r)
		}
	}
}

// By hand: 0.03 K a year for 25.5 years is 0.765 K; 200 m up are 1.3 K.
func TestNormalsAreBroughtToTheYearAndTheSite(t *testing.T) {
	if c := vantaa.At(251).MeanC[0]; math.Abs(c-(-5.6)) > 1e-9 {
		t.Errorf("200 m higher January is %g °C, want -5.6", c)
	}
	mean := func(year int) (sum float64) {
		g, err := ensemble.NewGenerator("KOLMI", vantaa, year)
		if err != nil {
			t.Fatal(err)
		}
		const members = 500
		for k := range members {
			sum += stat.Mean(g.Year(k, civil.Of(year, 1, 1), 365), nil) / members
		}
		return sum
	}
	want := 0.0
	for i, c := range vantaa.MeanC {
		want += c * []float64{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}[i] / 365
	}
	if got := mean(2031) - want; math.Abs(got-0.765) > 0.12 { // a year's mean has a standard error of about 0.035 K
		t.Errorf("2031 is %.3f K warmer than the normals, want 0.765", got)
	}
}

func TestNormalsThatNoClimateHas(t *testing.T) {
	for _, row := range []struct {
		name, want string
		change     func(*ensemble.Normals)
	}{
		{"degrees Fahrenheit", "mean of month 7 is 64.9 °C", func(n *ensemble.Normals) { n.MeanC[6] = 64.9 }},
		{"a mean that is no number", "mean of month 1", func(n *ensemble.Normals) { n.MeanC[0] = math.NaN() }},
		{"days that don't vary", "spread of days in month 2 is 0 K", func(n *ensemble.Normals) { n.DaySDK = ensemble.Months{9} }},
		{"months that vary more than days", "spread of month 1 between years is 9 K", func(n *ensemble.Normals) { n.MonthSDK = ensemble.Months{9} }},
		{"a departure that never ends", "persistence of month 1 is 1", func(n *ensemble.Normals) { n.Persistence = ensemble.Months{1} }},
	} {
		n := vantaa
		row.change(&n)
		if _, err := ensemble.NewGenerator("KOLMI", n, 2031); err == nil || !strings.Contains(err.Error(), row.want) || !strings.Contains(err.Error(), "give ") {
			t.Errorf("%s: %v", row.name, err)
		}
	}
	if err := vantaa.Check(); err != nil {
		t.Error(err)
	}
}
