package ensemble_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
	"budcall/internal/ensemble"
)

// The shape of the work that deploy/bench.sh compares: 30 members of 200 days
// that warm from -5 to 17 °C and cool again, days of ±5 K about the mean, with
// weather of 4 K.
const (
	benchMembers, benchDays = 30, 200
	benchSites              = 100 // other sites each time, as in use
)

// benchSite is a site's daily extremes, one member after the other.
type benchSite struct{ minC, maxC []float64 }

func benchSiteSet() (sites []benchSite) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range benchSites {
		var s benchSite
		for i := range benchMembers * benchDays {
			c := -5 + 22*math.Sin(math.Pi*float64(i%benchDays)/250) + 4*rng.NormFloat64()
			s.minC, s.maxC = append(s.minC, c-5), append(s.maxC, c+5)
		}
		sites = append(sites, s)
	}
	return sites
}

func (s benchSite) member(m int) degreeday.Run {
	first, past := m*benchDays, (m+1)*benchDays
	return degreeday.Run{MinC: s.minC[first:past], MaxC: s.maxC[first:past]}
}

// benchHeat is a base with the needs counted from it, and room for sums.
type benchHeat struct {
	rule  degreeday.Rule
	needs []ensemble.Need
	heat  ensemble.Heat
}

func newBenchHeat(b *testing.B, baseC float64, needs ...ensemble.Need) benchHeat {
	b.Helper()
	rule, err := degreeday.NewRule(degreeday.Sine, "", baseC, math.NaN())
	if err != nil {
		b.Fatal(err)
	}
	h := benchHeat{rule: rule, needs: needs, heat: ensemble.Heat{From: civil.Of(2031, 3, 1)}}
	flat := make([]float64, benchMembers*benchDays)
	for m := range benchMembers {
		h.heat.SumCd = append(h.heat.SumCd, flat[m*benchDays:(m+1)*benchDays])
	}
	return h
}

// needOf is a need by its mean and standard deviation in °C·d.
func needOf(meanCd, sdCd float64) ensemble.Need {
	return ensemble.Need{MeanLog: math.Log(meanCd), SD: sdCd / meanCd}
}

// BenchmarkFromTemperatures is one site: temperatures in, degree days by the
// single sine from two bases, the day distributions of six events out.
func BenchmarkFromTemperatures(b *testing.B) {
	sites := benchSiteSet()
	heats := []benchHeat{
		newBenchHeat(b, 5, needOf(30, 8), needOf(90, 12), needOf(180, 20)),
		newBenchHeat(b, 6.7, needOf(60, 10), needOf(120, 14), needOf(850, 60)),
	}
	i := 0
	for b.Loop() {
		site := sites[i%len(sites)]
		enough := [2]float64{ensemble.Enough(heats[0].needs), ensemble.Enough(heats[1].needs)}
		for m := range benchMembers { // both bases while the member is at hand
			run := site.member(m)
			for k, h := range heats {
				h.rule.Sums(h.heat.SumCd[m], run, enough[k])
			}
		}
		for _, h := range heats {
			h.heat.Reached(h.needs)
		}
		i++
	}
}

// birchNeeds are seven stages of silver birch, medians in °C·d and spreads on
// the log scale as the shipped profile gave them.
func birchNeeds() (needs []ensemble.Need) {
	for _, n := range [][2]float64{{25, 0.45}, {60, 0.30}, {100, 0.25}, {95, 0.22}, {120, 0.18}, {210, 0.17}, {850, 0.08}} {
		needs = append(needs, ensemble.Need{MeanLog: math.Log(n[0]), SD: n[1]})
	}
	return needs
}

// BenchmarkDaily is one site on one day: the sums of its members are there, the
// heat gathered so far moves them, the day distributions of seven stages come
// out. All 200 days are still to come: the longest day's work of a season.
func BenchmarkDaily(b *testing.B) {
	var sites []benchHeat
	for _, s := range benchSiteSet() {
		h := newBenchHeat(b, 5, birchNeeds()...)
		for m, row := range h.heat.SumCd {
			h.rule.Sums(row, s.member(m), math.Inf(1))
		}
		h.heat.OffsetCd = make([]float64, benchMembers)
		sites = append(sites, h)
	}
	i := 0
	for b.Loop() {
		h := sites[i%len(sites)]
		for m := range h.heat.OffsetCd {
			h.heat.OffsetCd[m] = float64(i%40) / 2
		}
		h.heat.Reached(h.needs)
		i++
	}
}

// BenchmarkSumsReached is the same from logarithms, as where a requirement
// falls with time.
func BenchmarkSumsReached(b *testing.B) {
	site, h := benchSiteSet()[0], newBenchHeat(b, 5)
	for m, row := range h.heat.SumCd {
		h.rule.Sums(row, site.member(m), math.Inf(1))
	}
	sums, needs := ensemble.Sums{From: h.heat.From, Log: logsOf(h.heat)}, birchNeeds()
	b.ReportAllocs()
	for b.Loop() {
		sums.Reached(needs)
	}
}
