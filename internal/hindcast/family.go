package hindcast

import (
	"time"

	"budcall/internal/civil"
	"budcall/internal/stage"
)

// family is one heat with what of it is fitted: candidates that are weighed by
// how likely they make the dates.
type family struct {
	of      stage.Family
	warmths []stage.Warmth // the candidates
	felt    []felt         // of each
}

var march1 = civil.MonthDay{Month: time.March, Day: 1}

// families are the heats of which a forecast is the equal pool.
func families() (fs []family) {
	for _, f := range stage.Families() {
		fs = append(fs, family{of: f, warmths: f.Warmths})
	}
	return fs
}
