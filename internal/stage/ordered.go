package stage

import (
	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

// InOrder lowers chances where a stage would be likelier than one that comes
// before it, given the distributions of the stages in their order: what each
// heat, each visit and each mean date says by itself never quite agrees, and no
// forecast may let bud break come before swelling.
func InOrder(stages []Stage, days []ensemble.Days) {
	for i := range stages {
		for j := range i {
			if rightBefore(stages, stages[j].Code, stages[i].Code) {
				days[i] = noSooner(days[i], days[j])
			}
		}
	}
}

// noSooner gives a distribution whose chances are nowhere above another's.
func noSooner(d, before ensemble.Days) ensemble.Days {
	if len(d.By) == 0 || len(before.By) == 0 {
		return d
	}
	copied := false
	for i, c := range d.By {
		most := before.On(d.From + civil.Date(i))
		if c <= most {
			continue
		}
		if !copied {
			d.By, copied = append([]float64(nil), d.By...), true
		}
		d.By[i] = most
	}
	return d
}
