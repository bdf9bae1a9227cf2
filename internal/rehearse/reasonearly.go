package rehearse

import (
	"fmt"
	"math"

	"budcall/internal/civil"
)

// early says why a bag hung too long before its tree flowered.
func (w badSeason) early(tree int) string {
	bagged, flowers := w.story.Trees[tree].Bagged, w.trees[tree].Reached[Flowering]
	what := fmt.Sprintf("bagged on %s, no flowering by 31 October", day(bagged))
	if !flowers.IsZero() {
		what = fmt.Sprintf("bagged on %s, flowering came on %s, %d days later", day(bagged), day(flowers), flowers-bagged)
	}
	_, last, asked := w.asked(bagged + 1)
	best := last.Item.Best
	if asked && !flowers.IsZero() && best > bagged && flowers-best <= civil.Date(w.limits.MaxLeadDays) {
		return fmt.Sprintf("people: %s; told on %s for %s, best on %s, which would have been in time", what, day(civil.At(last.At.UTC())), days(last.Item.Days), day(best))
	}
	on := bagged
	if asked {
		on = civil.At(last.At.UTC())
	}
	i, ok := w.issued(Flowering, on)
	if !ok {
		return "rule: " + what + "; no forecast of flowering had been made"
	}
	above := !i.P90.IsZero() && (flowers.IsZero() || flowers > i.P90)
	if gap := w.gap(on); above && gap != "" {
		return gap + "; " + what + "; " + i.said("flowering")
	}
	until := flowers
	if until.IsZero() {
		until = bagged + civil.Date(w.limits.MaxLeadDays)
	}
	if k := w.odd(bagged, until); above && k <= -oddK/2 { // over weeks, half of it is as much
		return fmt.Sprintf("weather: %s; in between it was %.1f K colder than in other years; %s", what, -k, i.said("flowering"))
	}
	if above {
		return "model: flowering came above P90; " + what + "; " + i.said("flowering")
	}
	return "rule: " + what + "; " + i.said("flowering")
}

// missing counts the days without reading among the last n.
func missing(observed []float64, n int) (count int) {
	for _, c := range observed[max(0, len(observed)-n):] {
		if math.IsNaN(c) {
			count++
		}
	}
	return count
}

// departure is by how many K days from one to before another, from 0, were
// warmer than a climate, on average over those that are known; NaN with none.
func departure(means, climate []float64, from, before int) float64 {
	sum, n := 0.0, 0
	for d := max(0, from); d < min(before, len(means), len(climate)); d++ {
		if k := means[d] - climate[d]; !math.IsNaN(k) {
			sum, n = sum+k, n+1
		}
	}
	return sum / float64(n)
}
