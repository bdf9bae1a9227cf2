package stage

import (
	"time"

	"budcall/internal/civil"
)

// Family is one heat with what of it is fitted: candidates that are weighed by
// how likely they make the dates.
type Family struct {
	Name    string
	Warmths []Warmth
	Bases   bool // whether the base is fitted too
}

// falls are by how much ln of the requirement may fall a day: none, and about
// 7, 13 and 24 % a week. Heat to bud burst falls with chilling and date, by
// 60 % from January to May at Abisko (Karlsson et al. 2003, Ecography
// 26:617-625), which is 0.008 a day.
var falls = []float64{0, 0.01, 0.02, 0.04}

var (
	february1 = civil.MonthDay{Month: time.February, Day: 1}
	march1    = civil.MonthDay{Month: time.March, Day: 1}
)

// The bases among which a local one is fitted, in °C.
const (
	lowestBaseC  = 0.0
	highestBaseC = 8.0
	baseStepC    = 2.0
)

// Families are the heats of which a forecast is the equal pool where nothing
// but dates is known. Before February there is little heat to count at the
// places tried, and 25 years choose badly among earlier starts.
func Families() []Family {
	both := []civil.MonthDay{february1, march1}
	return []Family{
		candidates("above 5 °C from 1 March", []Warmth{{Response: AboveBase, BaseC: 5}}, []civil.MonthDay{march1}),
		candidates("above 2 °C by day length", []Warmth{{Response: DayLength, BaseC: 2}}, both),
		candidates("logistic about 10 °C", []Warmth{{Response: Logistic, BaseC: 10}}, both),
		FittedFamily(),
	}
}

// FittedFamily is the heat above a base that is itself fitted, with its start
// and the daily fall of the requirement.
func FittedFamily() Family {
	var bases []Warmth
	for base := lowestBaseC; base <= highestBaseC; base += baseStepC {
		bases = append(bases, Warmth{Response: AboveBase, BaseC: base})
	}
	f := candidates("above a fitted base", bases, []civil.MonthDay{february1, march1})
	f.Bases = true
	return f
}

func candidates(name string, of []Warmth, starts []civil.MonthDay) Family {
	f := Family{Name: name}
	for _, w := range of {
		for _, w.Start = range starts {
			for _, w.FallPerDay = range falls {
				f.Warmths = append(f.Warmths, w)
			}
		}
	}
	return f
}

// OnEdge gives the base of a candidate if it lies on the edge of the grid: the
// likeliest one may then lie beyond.
func (f Family) OnEdge(candidate int) (baseC, lowestC, highestC float64, on bool) {
	c := f.Warmths[candidate].BaseC
	return c, lowestBaseC, highestBaseC, f.Bases && (c == lowestBaseC || c == highestBaseC)
}
