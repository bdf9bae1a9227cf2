package postgres

import (
	"fmt"
	"slices"

	"budcall/internal/weather"
)

// decoder unpacks years beside whoever reads them.
type decoder struct {
	past        Past
	open        map[string][]weather.Day // rows by station
	f           func(station string, days []weather.Day) error
	full, empty chan *yearBlock
	over        chan error // how it ended

	given int           // stations, from the first, that f has had or that have no days
	days  []weather.Day // reused
}

// next gives an empty block for a station; nil when no more are wanted.
func (d *decoder) next(station int) *yearBlock {
	select {
	case b := <-d.empty:
		b.station, b.years, b.packed = station, b.years[:0], b.packed[:0]
		return b
	case err := <-d.over:
		d.over <- err
		return nil
	}
}

// run decodes until there are no more blocks or something is wrong.
func (d *decoder) run() {
	for b := range d.full {
		if err := d.block(b); err != nil {
			d.over <- err
			return
		}
		d.empty <- b
	}
	d.over <- d.upTo(len(d.past.Stations))
}

// block gives f a station's days, and before it those of stations that have
// rows only.
func (d *decoder) block(b *yearBlock) error {
	if err := d.upTo(b.station); err != nil {
		return err
	}
	station := d.past.Stations[b.station]
	d.given = b.station + 1
	d.days = d.days[:0]
	slices.SortFunc(b.years, func(x, y rawYear) int { return x.year - y.year })
	for _, y := range b.years {
		var err error
		if d.days, err = appendYear(d.days, y.year, b.packed[y.begin:y.end]); err != nil {
			return fmt.Errorf("reading past years of station %s: %w", station, err)
		}
	}
	d.days = mergeDays(d.days, d.open[station])
	if len(d.days) == 0 {
		return nil
	}
	return d.f(station, d.days)
}

// upTo gives f the stations before a number that weren't given yet: they have
// no packed year.
func (d *decoder) upTo(number int) error {
	for ; d.given < number; d.given++ {
		station := d.past.Stations[d.given]
		if len(d.open[station]) == 0 {
			continue
		}
		if err := d.f(station, d.open[station]); err != nil {
			return err
		}
	}
	return nil
}

// mergeDays puts two sorted runs of days together; of a day in both, the
// second run's is taken.
func mergeDays(a, b []weather.Day) []weather.Day {
	if len(a) == 0 || len(b) == 0 || a[len(a)-1].Date < b[0].Date {
		return append(a, b...)
	}
	out := make([]weather.Day, 0, len(a)+len(b))
	for len(a) > 0 && len(b) > 0 {
		switch {
		case a[0].Date < b[0].Date:
			out, a = append(out, a[0]), a[1:]
		default:
			if a[0].Date == b[0].Date {
				a = a[1:]
			}
			out, b = append(out, b[0]), b[1:]
		}
	}
	return append(append(out, a...), b...)
}
