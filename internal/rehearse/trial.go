package rehearse

import (
	"fmt"
	"time"

	"budcall/internal/civil"
)

// Trial is a set of hidden seasons under one set of conditions.
type Trial struct {
	Settings Settings
	Stations []string
	Seasons  []*Season // by station, site and year
	Refused  []Refused
}

// Refused is a year of a station that can't serve, and why.
type Refused struct {
	Station string
	Year    int
	Reason  string
}

// NewTrial draws the seasons of all stations from one year to another, both
// included. Years with too many missing days are refused one by one; a station
// with no year left, wrong settings or a station whose latitude is needed and
// not known are errors.
func NewTrial(set Settings, stations []Station, from, to int) (*Trial, error) {
	if err := set.Check(); err != nil {
		return nil, err
	}
	t := &Trial{Settings: set}
	seen := map[string]bool{}
	for _, st := range stations {
		if seen[st.Name] {
			return nil, fmt.Errorf("station %s stands twice: name each once", st.Name)
		}
		seen[st.Name] = true
		if set.Heat == DayLength && !(st.LatitudeDeg >= -90 && st.LatitudeDeg <= 90) {
			return nil, fmt.Errorf("station %s: the day-length heat needs its latitude, which is %g: give one, or rehearse with %q", st.Name, st.LatitudeDeg, Logistic)
		}
		if err := t.add(st, from, to); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// add draws the seasons of one station.
func (t *Trial) add(st Station, from, to int) error {
	years := map[int][]float64{}
	for year := from; year <= to; year++ {
		days := int(civil.Of(year, time.October, 31)-civil.Of(year, time.January, 1)) + 1
		temps, err := bridged(st.Means[year], days)
		if err != nil {
			t.Refused = append(t.Refused, Refused{st.Name, year, err.Error()})
			continue
		}
		years[year] = temps
	}
	if len(years) == 0 {
		return fmt.Errorf("station %s has no year from %d to %d with enough days: give other years or another file", st.Name, from, to)
	}
	needs, err := t.needs(st, years)
	if err != nil {
		return fmt.Errorf("station %s: %w", st.Name, err)
	}
	t.Stations = append(t.Stations, st.Name)
	for n := range t.Settings.SitesPerStation {
		site := stand{set: t.Settings, site: st.Name, needs: needs}
		if n > 0 {
			site.site = fmt.Sprintf("%s %d", st.Name, n+1)
		}
		for _, year := range sortedYears(years) {
			t.Seasons = append(t.Seasons, newSeason(site, st, year, years[year]))
		}
	}
	return nil
}

// needs puts every stage's need into terms of the true heat.
func (t *Trial) needs(st Station, years map[int][]float64) ([]need, error) {
	high := map[int][]float64{}
	for y, temps := range years {
		high[y] = air(temps, t.Settings.TreesAboveM)
	}
	var out []need
	for _, stage := range t.Settings.Stages {
		n, err := t.Settings.Heat.calibrate(stage, st.LatitudeDeg, high)
		if err != nil {
			return nil, err
		}
		out = append(out, n)
	}
	return out, nil
}
