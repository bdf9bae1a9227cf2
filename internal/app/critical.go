package app

import (
	"context"
	"slices"
	"strings"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/pull"
	"budcall/internal/season"
)

// nearDays is how close to a call's days a station's readings are watched more
// closely: what is missing or doubted then is told at once.
const nearDays = 10

// weigh says to an order whether much hangs on it now: a site that uses the
// station has a call whose days are near.
func (w *works) weigh(ctx context.Context, o *pull.Order) error {
	code, ok := strings.CutPrefix(o.Name, "station:")
	if !ok {
		return nil
	}
	for _, site := range w.programme().Sites {
		if !slices.Contains(site.Stations, code) {
			continue
		}
		today := civil.At(o.Now.In(site.Zone))
		calls, err := w.db.Calls(ctx, site.Code, today.Year())
		if err != nil {
			return err
		}
		if near(calls, today) {
			o.Critical = true
			return nil
		}
	}
	return nil
}

// hangOnHeat are the calls whose days a reading can move; those of the others
// are set by the calendar or by what was reported.
var hangOnHeat = []call.Task{call.SendKit, call.BagOn, call.TakeOff, call.LookAtSeed, call.PickSeed}

// near tells whether a call that hasn't ended has days within nearDays of one.
func near(calls map[call.Task]season.State, today civil.Date) bool {
	for task, s := range calls {
		if slices.Contains(hangOnHeat, task) && s.Near(today, nearDays, nearDays) {
			return true
		}
	}
	return false
}
