package rehearse

import (
	"fmt"
	"math"
	"testing"
)

// TestVarianceIsSharedAsStated compares sample moments of standardized log
// needs with the formula of the package comment. 4000 independent sites: the
// standard error of a covariance of about 1 is 0.016 to 0.022; tolerance 0.06.
func TestVarianceIsSharedAsStated(t *testing.T) {
	stages := []Stage{{Code: 1}, {Code: 7}, {Code: 60}, {Code: 69}, {Code: 89}}
	set := Usual(stages)
	needs := []need{{1, 1}, {1, 1}, {1, 1}, {1, 1}, {1, 1}}
	const sites = 4000
	cov := map[string]float64{}
	for i := range sites {
		s := stand{set, fmt.Sprint(i), needs}
		a, b, c := s.logNeeds("1", 2001, 0), s.logNeeds("2", 2001, 0), s.logNeeds("1", 2002, 0)
		d, again := s.logNeeds("2", 2002, 0), s.logNeeds("1", 2001, 1)
		cov["variance"] += a[1] * a[1] / sites
		cov["two trees of a year"] += a[1] * b[1] / sites
		cov["a tree in two years"] += a[1] * c[1] / sites
		cov["two trees in two years"] += a[1] * d[1] / sites
		cov["the residual drawn anew"] += a[1] * again[1] / sites
		cov["neighbouring stages"] += a[1] * a[2] / sites
		cov["stages three apart"] += a[1] * a[4] / sites
	}
	for what, want := range map[string]float64{
		"variance":                1,
		"two trees of a year":     0.6, // site + year
		"a tree in two years":     0.5, // site + tree
		"two trees in two years":  0.3, // site
		"the residual drawn anew": 0.8,
		"neighbouring stages":     0.5*0.85 + 0.3*0.7,
		"stages three apart":      0.5*math.Pow(0.85, 3) + 0.3*math.Pow(0.7, 3),
	} {
		if math.Abs(cov[what]-want) > 0.06 {
			t.Errorf("%s: %.3f, want %.3f", what, cov[what], want)
		}
	}
}

func TestNeedsThatCannotBeOrderedAreCut(t *testing.T) {
	set := Usual([]Stage{{Code: 1}, {Code: 7}, {Code: 11}, {Code: 60}, {Code: 65}, {Code: 69}, {Code: 89}})
	s := stand{set: set}
	for _, row := range []struct {
		name       string
		logs, want []float64
	}{
		{"ordered needs stay", []float64{1, 2, 3, 2, 4, 5, 6}, []float64{1, 2, 3, 2, 4, 5, 6}},
		{"earlier ones are cut down from the district's end", []float64{9, 9, 0, 9, 9, 5, 6}, []float64{4.997, 4.998, 4.999, 4.998, 4.999, 5, 6}},
	} {
		s.inOrder(row.logs)
		for i, v := range row.logs {
			if math.Abs(v-row.want[i]) > 1e-9 {
				t.Errorf("%s: %v, want %v", row.name, row.logs, row.want)
				break
			}
		}
		if !s.ordered(row.logs) {
			t.Errorf("%s: still out of order", row.name)
		}
	}
}
