package replay

import (
	"context"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
	"budcall/internal/postgres"
	"budcall/internal/season"
	"budcall/internal/stage"
)

// Kept is what a season left behind, in the order in which it came.
type Kept struct {
	Letters  []notice.Parcel // mails, and messages to webhooks
	Tellings []Telling
	Changes  []Change
	Issued   []Issued
	Scores   map[string][]stage.Score // by site: of the season that was scored last
}

// Change is that a call came to stand otherwise.
type Change struct {
	At       time.Time
	Site     string
	Season   int
	Task     call.Task
	Standing call.Standing
	Reason   call.Reason
	Days     civil.Range
}

// Decide stores calls, changes of standing, what is owed and the messages to
// webhooks.
func (m *memory) Decide(_ context.Context, d postgres.Decision) error {
	m.calls[siteYear{d.Site, d.Season}] = d.Outcome.Calls
	if m.keep {
		for _, task := range call.Tasks {
			m.changed(d, task, d.Outcome.Calls[task])
		}
	}
	m.owe(d)
	m.reword(d.Again)
	for _, l := range d.Letters {
		m.write(l)
	}
	return nil
}

func (m *memory) changed(d postgres.Decision, task call.Task, s season.State) {
	if s.Standing == d.Before[task].Standing {
		return
	}
	m.kept.Changes = append(m.kept.Changes, Change{
		At: d.At, Site: d.Site, Season: d.Season, Task: task, Standing: s.Standing, Reason: s.Reason, Days: s.Days,
	})
}
