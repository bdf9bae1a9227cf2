package hindcast

import (
	"errors"
	"fmt"
	"io"

	"budcall/internal/civil"
)

// Unit is what is forecast: each site, each tree, or the whole series by year.
type Unit string

// The units.
const (
	PerSite Unit = "site"
	PerTree Unit = "tree"
	PerYear Unit = "year"
)

// Request says which forecasts are scored.
type Request struct {
	Series          string     // empty: whatever series the observations are of
	Species, Phase  string     // as the observations have them, in upper or lower case
	LeadDays        []int      // before the unit's mean date of the other years
	Per             Unit       // empty: PerSite
	ReportDelayDays int        // from a visit until its report is known
	OwnVisitsOnly   bool       // leave out what this season's visits to other plants have found
	Simulated       bool       // with a simulated short-range forecast of ten days
	PastOnly        bool       // learn from earlier years alone, instead of from all others
	Today           civil.Date // later observations are refused; 0: none is
	Workers         int        // seasons that are worked on at once; 0 is 1. Results don't depend on it

	// Progress, if given, is called after each season, one call at a time.
	Progress func(done, total int)
}

// Files is where the data come from.
type Files struct {
	Observations io.Reader
	Temperatures func(name string) (io.ReadCloser, error) // by the name in temperature_file
}

// longestLeadDays is more than any season leaves.
const longestLeadDays = 300

// Check tells what of a request makes no sense.
func (r Request) Check() error {
	switch {
	case r.Species == "" || r.Phase == "":
		return errors.New("no species or no phase is named: give both, as they are written in the observations")
	case r.Per != "" && r.Per != PerSite && r.Per != PerTree && r.Per != PerYear:
		return fmt.Errorf("nothing is scored per %q: write site, tree or year", r.Per)
	case len(r.LeadDays) == 0:
		return errors.New("no lead is given: name days before the mean date, such as 21,14,7")
	case r.ReportDelayDays < 0 || r.ReportDelayDays > longestLeadDays:
		return fmt.Errorf("a report can't be delayed by %d days: give 0 to %d", r.ReportDelayDays, longestLeadDays)
	}
	for _, lead := range r.LeadDays {
		if lead < 0 || lead > longestLeadDays {
			return fmt.Errorf("no forecast is issued %d days ahead: give leads from 0 to %d days", lead, longestLeadDays)
		}
	}
	return nil
}
