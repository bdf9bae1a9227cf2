package hindcast

import (
	"time"

	"budcall/internal/civil"
	"budcall/internal/stage"
)

// family is one heat with what of it is fitted: candidates that are weighed by
// how likely they make the dates.
type family struct {
	name    string
	warmths []stage.Warmth
	felt    []felt // of each candidate
	bases   bool   // whether the base is fitted too
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

// families are the heats of which a forecast is the equal pool. Before
// February there is little heat to count at these places, and 25 years choose
// badly among earlier starts.
func families() []family {
	both := []civil.MonthDay{february1, march1}
	fs := []family{
		candidates("above 5 °C from 1 March", []stage.Warmth{{Response: stage.AboveBase, BaseC: 5}}, []civil.MonthDay{march1}),
		candidates("above 2 °C by day length", []stage.Warmth{{Response: stage.DayLength, BaseC: 2}}, both),
		candidates("logistic about 10 °C", []stage.Warmth{{Response: stage.Logistic, BaseC: 10}}, both),
	}
	var bases []stage.Warmth
	for base := lowestBaseC; base <= highestBaseC; base += baseStepC {
		bases = append(bases, stage.Warmth{Response: stage.AboveBase, BaseC: base})
	}
	fitted := candidates("above a fitted base", bases, both)
	fitted.bases = true
	return append(fs, fitted)
}

func candidates(name string, of []stage.Warmth, starts []civil.MonthDay) family {
	f := family{name: name}
	for _, w := range of {
		for _, w.Start = range starts {
			for _, w.FallPerDay = range falls {
				f.warmths = append(f.warmths, w)
			}
		}
	}
	return f
}
