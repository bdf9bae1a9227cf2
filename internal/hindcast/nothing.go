package hindcast

import (
	"errors"
	"fmt"
	"strings"
)

// mostNamed is how many of a file's contents a message lists.
const mostNamed = 30

// nothing says why there is nothing to score, and what there would be.
func (r Request) nothing(all []Observation, notes []string) error {
	if len(all) == 0 {
		return errors.New("no line of the observations can be used: see that they have site,species,phase,year,doy,temperature_file" + after(notes))
	}
	series, phases, left := map[string]bool{}, map[string]bool{}, 0
	for _, o := range all {
		series[fmt.Sprintf("%q", o.Series)] = true
		if r.Series == "" || strings.EqualFold(r.Series, o.Series) {
			phases[fmt.Sprintf("%q, %q", o.Species, o.Phase)] = true
		}
		if r.wants(o) {
			left++
		}
	}
	switch {
	case left > 0:
		return fmt.Errorf("none of the %d observations of %s, %s can be used%s", left, r.Species, r.Phase, after(notes))
	case len(phases) == 0:
		return fmt.Errorf("no observation is of the series %q: the file has %s", r.Series, listed(series))
	case r.Series != "":
		return fmt.Errorf("no observation of the series %q is of %s, %s: it has %s", r.Series, r.Species, r.Phase, listed(phases))
	}
	return fmt.Errorf("no observation is of %s, %s: the file has %s", r.Species, r.Phase, listed(phases))
}

func after(notes []string) string {
	if len(notes) == 0 {
		return ""
	}
	return ": " + strings.Join(notes[:min(mostNamed, len(notes))], "; ")
}

func listed(names map[string]bool) string {
	all := sortedKeys(names)
	if more := len(all) - mostNamed; more > 0 {
		return strings.Join(all[:mostNamed], "; ") + fmt.Sprintf(" and %d more", more)
	}
	return strings.Join(all, "; ")
}
