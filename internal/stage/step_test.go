package stage_test

import (
	"math/rand/v2"
	"testing"

	"budcall/internal/stage"
)

func steps(chance *rand.Rand, n, at int, by float64) (years []int, x []float64) {
	for i := range n {
		years = append(years, 2000+i)
		v := chance.NormFloat64()
		if i >= at {
			v += by
		}
		x = append(x, v)
	}
	return years, x
}

// Of series without a step 1 in 20 is to be found wanting: of 2000 drawn,
// between 2 and 8 in 100. Of such with a step of three spreads in the middle
// most are found, and in the year it was.
func TestStepsInASeries(t *testing.T) {
	chance := rand.New(rand.NewPCG(2, 7))
	for _, n := range []int{8, 12, 20, 40} {
		wrong, found, right := 0, 0, 0
		for range 2000 {
			if _, ok := stage.FindStep(steps(chance, n, n, 0)); ok {
				wrong++
			}
			step, ok := stage.FindStep(steps(chance, n, n/2, 3))
			if ok {
				found++
			}
			if ok && step.Since >= 2000+n/2-1 && step.Since <= 2000+n/2+1 && step.By > 1 {
				right++
			}
		}
		t.Logf("%d years: %d wrong, %d found, %d of them in the right year", n, wrong, found, right)
		if wrong < 40 || wrong > 160 || found < 1000 || right*10 < found*9 {
			t.Errorf("%d years: of 2000 series without a step %d have one, of 2000 with one %d, %d of these in the right year", n, wrong, found, right)
		}
	}
	if _, ok := stage.FindStep(steps(chance, 7, 3, 50)); ok {
		t.Error("seven years are too few to tell")
	}
	if _, ok := stage.FindStep([]int{1, 2, 3, 4, 5, 6, 7, 8}, make([]float64, 8)); ok {
		t.Error("years that are all alike have a step")
	}
}

// Stage 1 was seen in both years, stage 0 in the second alone: of that year the
// mean of both departures (by hand: stage 1 has the mean 2, stage 0 its own).
func TestDeparturesOfYears(t *testing.T) {
	sight := func(year, code int, z float64) stage.Sight {
		return stage.Sight{Past: stage.Past{Year: year, Stage: code, LogHeat: z}}
	}
	years, by := stage.Departures([]stage.Sight{sight(2030, 1, 3), sight(2029, 1, 1), sight(2030, 0, 7)})
	if len(years) != 2 || years[0] != 2029 || by[0] != -1 || by[1] != 0.5 {
		t.Errorf("%v %v", years, by)
	}
}
