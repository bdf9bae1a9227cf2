package pull

import (
	"context"
	"fmt"
	"strings"
	"time"

	"budcall/internal/weather"
)

// After how long without a new day a station counts as silent. Days come once a
// day: near a call's days one that is missed is enough, and six hours are left
// for it to be late.
const (
	silentAfter = 48 * time.Hour
	missedAfter = 30 * time.Hour
)

// nothingNew tells the ops person that a station that can be asked brings nothing
// new, once until it does. One that can't be asked is told as such.
func (j *Job) nothingNew(ctx context.Context, o Order, a Answer, h *weather.Haul) error {
	if o.Class != "station" || o.BackFill {
		return nil
	}
	subject := o.Name + " silent"
	since, limit := o.Now.Sub(h.Source.RenewedAt), silentAfter
	if o.Critical {
		limit = missedAfter
	}
	switch {
	case since <= 0:
		return j.Over(ctx, subject)
	case since <= limit: // it may have been told by a narrower limit: only a reading ends that
		return nil
	}
	newest := "it has brought no reading yet"
	if h.Source.Newest != 0 {
		newest = fmt.Sprintf("its newest day is %s", h.Source.Newest)
	}
	why := "It answers, with nothing new in it: look whether the station works and its data are sent on."
	switch {
	case a.Empty:
		why = "Its provider answers as it should and has nothing of these days: look at the provider's notices, and whether the station has been moved or closed."
	case o.Path != "":
		why = "Its file can be read, and nothing has been added: look whether the logger works and whether the file is still written."
	}
	return j.Trouble(ctx, subject, fmt.Sprintf("The %s has been silent for %d hours: %s. %s Until it is back, a site that names another station is forecast by that one; a site that names this one alone is left without readings and needs another.",
		strings.Replace(o.Name, ":", " ", 1), int(since.Hours()), newest, why))
}
