package app

import (
	"cmp"
	"context"
	"strconv"
	"strings"
	"time"

	"budcall/internal/advance"
	"budcall/internal/call"
	"budcall/internal/config"
	"budcall/internal/link"
	"budcall/internal/notice"
	"budcall/internal/postgres"
	"budcall/internal/season"
)

// Calendar gives a person's calls of this year as a calendar: those that they
// have now, and those that ended with them, so that these vanish.
func (p *pages) Calendar(ctx context.Context, c link.Claim) (ics []byte, found bool, err error) {
	prog := p.programme()
	who, known := prog.Person(c.Person)
	if !known {
		return nil, false, nil
	}
	now, err := p.now(ctx)
	if err != nil {
		return nil, false, err
	}
	cal := notice.Calendar{Programme: prog.Name, Domain: prog.Mail.Domain, Lang: who.Lang}
	err = p.db.Read(ctx, func(b *postgres.Book) error {
		for _, site := range prog.Sites {
			events, err := eventsOf(ctx, b, personAt{prog, site, c.Person, now.In(site.Zone).Year()})
			if err != nil {
				return err
			}
			cal.Events = append(cal.Events, events...)
		}
		return nil
	})
	if err != nil {
		return nil, false, err
	}
	ics, err = cal.ICS()
	return ics, true, err
}

// personAt is a person at a site in a season.
type personAt struct {
	programme *config.Programme
	site      config.Site
	person    string
	year      int
}

func eventsOf(ctx context.Context, b *postgres.Book, at personAt) ([]notice.Event, error) {
	calls, err := b.Calls(ctx, at.site.Code, at.year)
	if err != nil {
		return nil, err
	}
	changes, err := b.Changes(ctx, at.site.Code, at.year)
	if err != nil {
		return nil, err
	}
	var out []notice.Event
	for _, task := range call.Tasks {
		s := calls[task]
		if holder, _ := advance.Holder(at.programme, at.site, task, s); holder != at.person || s.Told.Standing == call.Quiet {
			continue // it isn't theirs, or they haven't been told of it
		}
		out = append(out, event(at, task, s, changes))
	}
	return out, nil
}

// event is a call as it was told. Its number grows with everything that is told
// of it and every change of its standing.
func event(at personAt, task call.Task, s season.State, changes []postgres.Change) notice.Event {
	e := notice.Event{
		ID:   strings.Join([]string{at.site.Code, strconv.Itoa(at.year), strings.ReplaceAll(string(task), " ", "-")}, "-"),
		Site: at.site.Code, SiteName: at.site.Name, Task: task, Standing: s.Standing, Days: s.Told.Days, Serial: s.Serial,
		Changed: s.Told.On.In(time.UTC, 0, 0),
	}
	if e.Days.Len() == 0 {
		e.Days = s.Days
	}
	e.Standing = cmp.Or(e.Standing, call.Ahead) // told of, and far off again
	for _, c := range changes {
		if c.Task == task {
			e.Serial++
			e.Changed = later(e.Changed, c.At)
		}
	}
	e.Changed = later(e.Changed, s.AskedAt)
	return e
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}
