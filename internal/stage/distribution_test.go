package stage_test

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
	"budcall/internal/weather"
)

var firstOfMarch = march1.In(2031)

// issued on 1 March nothing is observed; a member of 10 °C brings 5 °C·d a day.
func ahead(members ensemble.Members) input {
	return input{Stage: birch(stage.BudBreak), Season: 2031, Issued: firstOfMarch, Members: members, Horizon: 120}
}

// At k °C·d a day the chance by the end of day n is Φ((ln(k·n) − ln m)/s),
// which is a lognormal distribution function at k·n.
func TestConstantTemperatureHasAClosedForm(t *testing.T) {
	d := mustIssue(t, ahead(constant(march1, 120, 10)))
	for _, row := range []struct {
		name string
		n    int
		want float64
	}{
		{"half of the trees after 12 days of 5 °C·d", 12, 0.5}, // by hand: 60 °C·d is the median
		{"five in six after 16 days", 16, 0.8312},              // by hand: ln(80/60)/0.3 = 0.958940, Φ = 0.8312
		{"few after 8 days", 8, 0.0883},                        // by hand: ln(40/60)/0.3 = −1.351550, Φ = 0.0883
		{"as good as all after 40 days", 40, 0.99997},          // by hand: ln(200/60)/0.3 = 4.013243, Φ = 0.99997
	} {
		if got := d.On(firstOfMarch + civil.Date(row.n) - 1); !near(got, row.want, 1e-4) {
			t.Errorf("%s: %.5f, want %.5f", row.name, got, row.want)
		}
	}
	needs := distuv.LogNormal{Mu: math.Log(60), Sigma: 0.30}
	for i, got := range d.By {
		if want := needs.CDF(5 * float64(i+1)); !near(got, want, kernelError) {
			t.Errorf("day %d: %g, want %g", i+1, got, want)
		}
	}
}

func TestMembersAreEquallyLikely(t *testing.T) {
	d := mustIssue(t, ahead(constant(march1, 120, 10, 4, 15)))
	needs := distuv.LogNormal{Mu: math.Log(60), Sigma: 0.30}
	for i, got := range d.By {
		n := float64(i + 1)
		if want := (needs.CDF(5*n) + 0 + needs.CDF(10*n)) / 3; !near(got, want, kernelError) {
			t.Errorf("day %d: %g, want %g", i+1, got, want)
		}
	}
}

// Every row: what the first days were, and the chance on a day of interest. A
// member is 10 °C throughout, 5 °C·d a day.
func TestWhatADayAddsToTheChance(t *testing.T) {
	marked := daily(firstOfMarch, 10, func(int) float64 { return 25 })
	for i := range marked {
		marked[i].Mark = weather.OutOfRange
	}
	extremes := daily(firstOfMarch, 10, func(int) float64 { return math.NaN() })
	for i := range extremes {
		extremes[i].MinC, extremes[i].MaxC = 6, 14
	}
	cold := func(int) float64 { return 5 }
	for _, row := range []struct {
		name     string
		observed []weather.Day
		issued   civil.Date
		day      civil.Date
		heatCd   float64 // by hand
	}{
		{"without heat there is no chance, however wide the spread", daily(firstOfMarch, 30, cold), firstOfMarch + 30, firstOfMarch + 29, 0},
		{"ten cold days are as observed, the days from the issue on as members", daily(firstOfMarch, 10, cold), firstOfMarch + 10, firstOfMarch + 21, 60},
		// 5 K below the members on both sides, 1 and 2 days off: 0.7(1 − 0.7⁴)/(1 − 0.7⁶) + 0.49(1 − 0.49)/(1 − 0.7⁶) = 0.886116 of it
		{"a day that is missing is taken from the members, drawn to the readings around it", append(daily(firstOfMarch, 4, cold), daily(firstOfMarch+6, 4, cold)...), firstOfMarch + 10, firstOfMarch + 9, 2 * 5 * (1 - 0.886116)},
		// four days between two readings: 2·0.7(1 − 0.49)/(1 − 0.7⁴) = 0.939597; the last after one: 0.7
		{"so is a day without values", daily(firstOfMarch, 10, func(i int) float64 { return []float64{5, math.NaN()}[i%2] }), firstOfMarch + 10, firstOfMarch + 9, 4*5*(1-0.939597) + 5*0.3},
		{"and one that is marked", marked, firstOfMarch + 10, firstOfMarch + 9, 50},
		{"and all of them where the station has fallen silent", nil, firstOfMarch + 10, firstOfMarch + 9, 50},
		{"the mid-range stands for a mean that wasn't published", extremes, firstOfMarch + 10, firstOfMarch + 9, 50},
		{"a reading of the day of issue isn't looked at", daily(firstOfMarch, 11, cold), firstOfMarch + 10, firstOfMarch + 10, 5},
		{"days before the stage's start bring nothing", daily(firstOfMarch-20, 30, func(i int) float64 { return map[bool]float64{true: 30, false: 5}[i < 20] }), firstOfMarch + 10, firstOfMarch + 9, 0},
		{"an issue before the start knows nothing yet", daily(firstOfMarch-20, 30, cold), firstOfMarch - 5, firstOfMarch + 9, 50},
	} {
		in := ahead(constant(march1, 120, 10))
		in.Observed, in.Issued = row.observed, row.issued
		want := distuv.LogNormal{Mu: math.Log(60), Sigma: 0.30}.CDF(row.heatCd)
		if got := mustIssue(t, in).On(row.day); !near(got, want, kernelError) {
			t.Errorf("%s: %g, want %g", row.name, got, want)
		}
	}
}

func TestAGapWidensTheForecast(t *testing.T) {
	in := ahead(constant(march1, 120, 6, 10, 14))
	in.Issued = firstOfMarch + 12
	in.Observed = daily(firstOfMarch, 12, func(int) float64 { return 10 })
	width := func(d ensemble.Days) civil.Date {
		early, _ := d.Quantile(0.1)
		late, _ := d.Quantile(0.9)
		return late - early
	}
	whole := width(mustIssue(t, in))
	in.Observed = in.Observed[:6]
	if gap := width(mustIssue(t, in)); gap <= whole {
		t.Errorf("P10 to P90 is %d days with a gap of six days, %d without", gap, whole)
	}
}

func TestTheHorizonIsTheShorterOne(t *testing.T) {
	for _, row := range []struct {
		name             string
		horizon, members int
		want             int
	}{
		{"members may be longer", 30, 120, 30},
		{"members may be shorter", 365, 120, 120},
		{"no horizon, no days", 0, 120, 0},
		{"a horizon below nothing neither", -3, 120, 0},
	} {
		in := ahead(constant(march1, row.members, 10))
		in.Horizon, in.Issued = row.horizon, firstOfMarch+200
		in.Observed = daily(firstOfMarch, 200, func(int) float64 { return 7 })
		if d := mustIssue(t, in); len(d.By) != row.want || d.From != firstOfMarch {
			t.Errorf("%s: %d days from %s, want %d", row.name, len(d.By), d.From, row.want)
		}
	}
}

func TestForecastsThatCannotBe(t *testing.T) {
	sine := ahead(constant(march1, 120, 10))
	sine.Stage.Heat.Rule.Method = degreeday.Sine
	numbers := func(medianCd, logSD float64) input {
		in := ahead(constant(march1, 120, 10))
		in.Stage.MedianCd, in.Stage.LogSD = medianCd, logSD
		return in
	}
	for _, row := range []struct {
		name string
		in   input
		want []string
	}{
		{"no heat needed is no requirement", numbers(0, 0.3), []string{"stage 07", "0 °C·d", "above 0"}},
		{"nor is one that a shift took below 0", numbers(-40, 0.3), []string{"-40 °C·d", "above 0"}},
		{"nor one that is no number", numbers(math.NaN(), 0.3), []string{"NaN °C·d", "above 0"}},
		{"nor one without end", numbers(math.Inf(1), 0.3), []string{"+Inf °C·d", "above 0"}},
		{"nor one without spread", numbers(60, 0), []string{"log spread of 0", "above 0"}},
		{"nor one whose spread is no number", numbers(60, math.NaN()), []string{"log spread of NaN", "above 0"}},
		{"another method needs extremes that are not known ahead", sine, []string{"stage 07", "sine", "daily means only"}},
		{"no past year, no forecast", ahead(ensemble.Members{From: firstOfMarch}), []string{"stage 07", "no past year", "give a station with history"}},
		{"members of another start would be misaligned", ahead(constant(newYear, 200, 10)), []string{"stage 07", "2031-01-01", "2031-03-01", "align"}},
	} {
		_, err := row.in.spring().Days([]stage.Ask{{}})
		for _, part := range row.want {
			if err == nil || !strings.Contains(err.Error(), part) {
				t.Errorf("%s: %v, want %q in it", row.name, err, part)
			}
		}
	}
}

// anyInput draws members, days so far with holes, and a day of issue.
func anyInput(t *rapid.T) input {
	temps := rapid.SliceOfN(rapid.Float64Range(-10, 25), 30, 30)
	m := ensemble.Members{From: firstOfMarch}
	for k := range rapid.IntRange(1, 5).Draw(t, "members") {
		base := temps.Draw(t, "member")
		member := make([]float64, 120)
		for i := range member {
			member[i] = base[i%30]
		}
		m.Years, m.TempC = append(m.Years, 2000+k), append(m.TempC, member)
	}
	seen := rapid.SliceOfN(rapid.OneOf(rapid.Float64Range(-10, 25), rapid.Just(math.NaN())), 120, 120).Draw(t, "seen")
	in := ahead(m)
	in.Stage = birch(rapid.SampledFrom([]stage.BBCH{1, 7, 11, 60, 65, 69}).Draw(t, "stage"))
	in.Observed = daily(firstOfMarch, 120, func(i int) float64 { return seen[i] })
	in.Issued = firstOfMarch + civil.Date(rapid.IntRange(-5, 125).Draw(t, "issued"))
	return in
}

func TestAChanceNeverFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := mustIssue(t, anyInput(t))
		for i, c := range d.By {
			if math.IsNaN(c) || c < 0 || c > 1 || i > 0 && c < d.By[i-1] {
				t.Fatalf("day %d: %v", i, d.By[:i+1])
			}
		}
	})
}

// Whatever stands in the running year's days from the issue on, the forecast
// stays the same to the last bit.
func TestNothingFromTheIssueOnIsLookedAt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := anyInput(t)
		before := mustIssue(t, in)
		nonsense := rapid.OneOf(rapid.Float64(), rapid.Just(math.NaN())).Draw(t, "nonsense")
		changed := make([]weather.Day, 0, 300)
		for _, d := range in.Observed {
			if d.Date >= in.Issued {
				d.MinC, d.MaxC, d.MeanC = nonsense, nonsense, nonsense
			}
			changed = append(changed, d)
		}
		last := firstOfMarch + 120
		in.Observed = append(changed, daily(max(last, in.Issued), 180, func(int) float64 { return nonsense })...)
		if after := mustIssue(t, in); !reflect.DeepEqual(before, after) {
			t.Fatalf("issued %s: %v became %v", in.Issued, before, after)
		}
	})
}

// More heat needed is later: of the birch numbers the medians come in the
// order of the stages, in warm springs and cold ones.
func TestStagesComeInTheirOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := anyInput(t)
		for _, row := range []struct{ earlier, later stage.BBCH }{
			{stage.BudSwelling, stage.BudBreak}, {stage.BudBreak, stage.LeavesUnfolded}, {stage.BudBreak, stage.Flowering},
			{stage.Flowering, stage.FullFlowering}, {stage.FullFlowering, stage.FloweringOver},
		} {
			in.Stage = birch(row.earlier)
			first, reached := mustIssue(t, in).Quantile(0.5)
			in.Stage = birch(row.later)
			if second, ok := mustIssue(t, in).Quantile(0.5); ok && (!reached || second < first) {
				t.Fatalf("%s on %s, but %s on %s", row.earlier, first, row.later, second)
			}
		}
	})
}
