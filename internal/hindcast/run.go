package hindcast

import (
	"context"
	"errors"
	"fmt"
	"strings"
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
// said in its notes. An error is returned only if there is nothing to score;
// the result then holds what was asked for, and the notes.
func Run(ctx context.Context, r Request, f Files) (Result, error) {
	if err := r.Check(); err != nil {
		return Result{}, err
	}
	all, refused, err := ReadObservations(f.Observations)
	if err != nil {
		return Result{}, fmt.Errorf("observations: %w", err)
	}
	chosen := choose(all, refused, r)
	if len(chosen.kept) > 0 { // names as they are written there
		r.Species, r.Phase = chosen.kept[0].Species, chosen.kept[0].Phase
		if r.Series != "" {
			r.Series = chosen.kept[0].Series
		}
	}
	h := &hindcast{request: r, panel: newPanel(chosen, r.Per), families: families()}
	if len(h.panel.sights) == 0 {
		return h.result(nil), r.nothing(all, chosen.notes)
	}
	h.open(f)
	for i := range h.families {
		for _, w := range h.families[i].warmths {
			h.families[i].felt = append(h.families[i].felt, feel(w, h.panel, h.thermometers))
		}
	}
	h.holes()
	h.panel.notes = append(h.panel.notes, h.changes()...)
	cases, err := h.all(ctx)
	if err != nil {
		return Result{}, err
	}
	return h.result(cases), nil
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
		h.panel.note("%s: %v: its sites are neither learned from nor forecast", name, err)
		return newThermometer(nil)
	}
	for _, x := range refused {
		where := name
		if x.Line > 0 {
			where = fmt.Sprintf("%s:%d", name, x.Line)
		}
		h.panel.note("%s: %s", where, x.Reason)
	}
	return newThermometer(days)
}

// all scores every season, several at once.
func (h *hindcast) all(ctx context.Context) ([]Case, error) {
	years := h.panel.years()
	told := make([][]remark, len(years))
	cases, errs := make([][]Case, len(years)), make([]error, len(years))
	next := make(chan int)
	var wg sync.WaitGroup
	var mu sync.Mutex
	finished := 0
	for range max(1, h.request.Workers) {
		wg.Go(func() {
			for i := range next {
				cases[i], told[i], errs[i] = h.forecastYear(years[i])
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
	var remarks []remark
	for i := range years {
		all = append(all, cases[i]...)
		remarks = append(remarks, told[i]...)
	}
	h.panel.notes = append(h.panel.notes, gathered(remarks)...)
	return all, nil
}

func (h *hindcast) forecastYear(year int) (cases []Case, told []remark, err error) {
	s, err := h.season(year)
	if err != nil {
		return nil, nil, err
	}
	for _, o := range h.panel.sights {
		if o.year != year {
			continue
		}
		unit := h.panel.units[o.unit]
		if why := s.obstacle(o); why != "" {
			told = append(told, remark{year, unit, "not scored: " + why})
			continue
		}
		for _, lead := range h.request.LeadDays {
			c, why := s.score(o, lead)
			if why != "" {
				told = append(told, remark{year, unit, fmt.Sprintf("not scored %d days ahead: %s", lead, why)})
				continue
			}
			cases = append(cases, c)
		}
	}
	told = append(told, s.gaps()...)
	for _, n := range s.notes {
		told = append(told, remark{year: year, text: strings.TrimPrefix(n, fmt.Sprintf("%d: ", year))})
	}
	return cases, told, nil
}
