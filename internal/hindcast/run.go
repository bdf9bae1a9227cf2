package hindcast

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sync"
)

// hindcast is everything that the seasons of a run share; it isn't written to
// while they run.
type hindcast struct {
	request      Request
	panel        *panel
	thermometers map[string]*thermometer
	families     []family
}

// Run forecasts every season of a series from the others and scores it. The
// result depends on the data and the request alone. What had to be left out is
// said in its notes; an error is returned only if nothing can be scored.
func Run(ctx context.Context, r Request, f Files) (Result, error) {
	if err := r.check(); err != nil {
		return Result{}, err
	}
	all, refused, err := ReadObservations(f.Observations)
	if err != nil {
		return Result{}, fmt.Errorf("observations: %w", err)
	}
	h := &hindcast{request: r, panel: newPanel(all, r), families: families()}
	for _, x := range refused {
		h.panel.note("line %d: %s", x.Line, x.Reason)
	}
	if len(h.panel.sights) == 0 {
		return Result{}, h.nothing(all)
	}
	h.open(f)
	for i := range h.families {
		for _, w := range h.families[i].warmths {
			h.families[i].felt = append(h.families[i].felt, feel(w, h.panel, h.thermometers))
		}
	}
	cases, err := h.all(ctx)
	if err != nil {
		return Result{}, err
	}
	return h.result(cases), nil
}

// nothing says why there is nothing to score.
func (h *hindcast) nothing(all []Observation) error {
	have := map[string]bool{}
	for _, o := range all {
		have[o.Species+", "+o.Phase] = true
	}
	if len(have) == 0 {
		return errors.New("no line of the observations can be used: see that they have site,species,phase,year,doy,temperature_file")
	}
	return fmt.Errorf("no observation is of %s, %s in the series %q: the file has %q", h.request.Species, h.request.Phase, h.request.Series, sortedKeys(have))
}

// open reads the temperature files. One that can't be had leaves its sights
// without temperatures.
func (h *hindcast) open(f Files) {
	h.thermometers = map[string]*thermometer{}
	for _, s := range h.panel.sights {
		if h.thermometers[s.file] == nil {
			h.thermometers[s.file] = h.read(s.file, f)
		}
	}
}

func (h *hindcast) read(name string, f Files) *thermometer {
	if name == "" {
		h.panel.note("some observations name no temperature file: they are neither learned from nor forecast")
		return newThermometer(nil)
	}
	r, err := f.Temperatures(name)
	if err != nil {
		h.panel.note("%s: %v: its sites are neither learned from nor forecast, put the file there", name, err)
		return newThermometer(nil)
	}
	defer r.Close()
	days, refused, err := ReadTemperatures(r)
	if err != nil {
		h.panel.note("%s: %v", name, err)
		return newThermometer(nil)
	}
	for _, x := range refused {
		h.panel.note("%s:%d: %s", name, x.Line, x.Reason)
	}
	return newThermometer(days)
}

// all scores every season, several at once.
func (h *hindcast) all(ctx context.Context) ([]Case, error) {
	years := h.panel.years()
	done := make([]*season, len(years))
	cases, errs := make([][]Case, len(years)), make([]error, len(years))
	next := make(chan int)
	var wg sync.WaitGroup
	var mu sync.Mutex
	finished := 0
	for range max(1, h.request.Workers) {
		wg.Go(func() {
			for i := range next {
				done[i], cases[i], errs[i] = h.forecastYear(years[i])
				mu.Lock()
				if finished++; h.request.Progress != nil {
					h.request.Progress(finished, len(years))
				}
				mu.Unlock()
			}
		})
	}
	for i := range years {
		if ctx.Err() != nil {
			break
		}
		next <- i
	}
	close(next)
	wg.Wait()
	if err := errors.Join(append(errs, ctx.Err())...); err != nil {
		return nil, err
	}
	var all []Case
	for i := range years {
		all = append(all, cases[i]...)
		h.panel.notes = append(h.panel.notes, done[i].notes...)
	}
	return all, nil
}

func (h *hindcast) forecastYear(year int) (*season, []Case, error) {
	s, err := h.season(year)
	if err != nil {
		return nil, nil, err
	}
	var cases []Case
	for _, o := range h.panel.sights {
		if o.year != year || !s.forecastable(o) {
			continue
		}
		for _, lead := range h.request.LeadDays {
			if c, ok := s.score(o, lead); ok {
				cases = append(cases, c)
			}
		}
	}
	return s, cases, nil
}

// forecastable reports whether a unit can be forecast in the season, and notes
// why not.
func (s *season) forecastable(o sight) bool {
	name := s.h.panel.units[o.unit]
	switch {
	case !s.calendar.usable(o.unit):
		s.note("%s isn't scored: it has %.0f other years, and a mean date needs %d", name, s.calendar.n[o.unit], fewestYears)
	case s.h.thermometers[o.file].years[s.year] == nil:
		s.note("%s isn't scored: %q has no temperatures of that year", name, o.file)
	case len(s.membersOf(o.file).TempC) == 0:
		s.note("%s isn't scored: no other year of %q is complete enough to stand for the weather to come", name, o.file)
	case len(s.heats) == 0:
		s.note("%s isn't scored: no heat could be learned", name)
	default:
		s.noteGaps(o)
		return true
	}
	return false
}

// manyMissing is how many days without a reading before a unit's mean date are
// worth a word.
const manyMissing = 10

// noteGaps says when a season's own readings have large gaps.
func (s *season) noteGaps(o sight) {
	missing := 0
	until := min(daysOfYear, int(s.calendar.mean[o.unit]))
	for _, c := range s.h.thermometers[o.file].years[s.year][:until] {
		if math.IsNaN(c) {
			missing++
		}
	}
	if missing >= manyMissing {
		s.note("%s: %d of the %d days before its mean date have no reading, each member's own stand for them", s.h.panel.units[o.unit], missing, until)
	}
}
