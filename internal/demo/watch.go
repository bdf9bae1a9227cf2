package demo

import (
	"context"
	"slices"
	"time"

	"budcall/internal/app"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/postgres"
	"budcall/internal/season"
	"budcall/internal/trail"
)

// telling is that somebody was told of a call, and of which days.
type telling struct {
	at       time.Time
	call     call.Task
	standing call.Standing
	reason   call.Reason
	days     civil.Range
}

// record is what became of a site's season.
type record struct {
	site     config.Site
	tellings []telling
	calls    map[call.Task]season.State // as they stood last
	reports  []trail.Report             // with answers
	issued   []postgres.Issued
	told     []postgres.Told // newest first
	letters  int             // mails about it
}

// watch notes what is told of each call, as the season goes.
type watch struct {
	sites   []*record
	serials map[task]int
}

func newWatch(p *config.Programme) *watch {
	w := &watch{serials: map[task]int{}}
	for _, s := range p.Sites {
		w.sites = append(w.sites, &record{site: s})
	}
	return w
}

// look reads how the calls stand and notes what was told since the last look.
func (w *watch) look(ctx context.Context, a *app.App, at time.Time) error {
	return a.DB().Read(ctx, func(b *postgres.Book) error {
		for _, r := range w.sites {
			calls, err := b.Calls(ctx, r.site.Code, seasonYear)
			if err != nil {
				return err
			}
			for _, c := range call.Tasks {
				s := calls[c]
				if s.Serial == w.serials[task{r.site.Code, c}] {
					continue
				}
				w.serials[task{r.site.Code, c}] = s.Serial
				r.tellings = append(r.tellings, telling{at, c, s.Told.Standing, s.Reason, s.Told.Days})
			}
		}
		return nil
	})
}

// gather reads the whole season of each site.
func (w *watch) gather(ctx context.Context, a *app.App, letters []letter) error {
	const everything = 10_000 // tellings; a season has some dozens
	err := a.DB().Read(ctx, func(b *postgres.Book) (err error) {
		for _, r := range w.sites {
			if r.calls, err = b.Calls(ctx, r.site.Code, seasonYear); err != nil {
				return err
			}
			if r.reports, err = b.Reports(ctx, r.site.Code, seasonYear); err != nil {
				return err
			}
			if r.issued, err = b.Issued(ctx, r.site.Code, seasonYear); err != nil {
				return err
			}
			if r.told, err = b.Told(ctx, r.site.Code, seasonYear, everything); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	for _, r := range w.sites {
		r.letters = 0
		for _, l := range letters {
			if l.about(r.site.Name) || l.about(r.site.Code) {
				r.letters++
			}
		}
	}
	return nil
}

// asked is how many calls of a site asked somebody to act.
func (r *record) asked() (n int) {
	for _, c := range call.Tasks {
		if len(r.calls[c].Asked) > 0 {
			n++
		}
	}
	return n
}

// passed is how often a call of the site was passed on to somebody else.
func (r *record) passed() (n int) {
	for _, t := range r.told {
		if t.Reason == call.AnswerOverdue || t.Reason == call.CannotGo || t.Reason == call.MailReturned {
			n++
		}
	}
	return n
}

// reported is the reports of the site that aren't mere answers.
func (r *record) reported() (list []trail.Report) {
	for _, rep := range r.reports {
		if !rep.Kind.Answer() {
			list = append(list, rep)
		}
	}
	return list
}

// daysOf is the days on which things of a kind were reported, without repeats.
func (r *record) daysOf(kinds ...trail.Kind) (days []civil.Date) {
	seen := map[civil.Date]bool{}
	for _, rep := range r.reports {
		for _, k := range kinds {
			if rep.Kind == k && !seen[rep.Day] {
				seen[rep.Day] = true
				days = append(days, rep.Day)
			}
		}
	}
	return days
}

// firstDays is the days told when somebody was first asked to act.
func (r *record) firstDays(c call.Task) civil.Range {
	for _, t := range r.tellings {
		if t.call == c && t.standing.Asks() {
			return t.days
		}
	}
	return civil.Range{}
}

// toldFor is the days that were told last before each of the days on which a
// call was reported done, without repeats; where none was, those told last.
func (r *record) toldFor(c call.Task, done []civil.Date) (told []civil.Range) {
	for _, day := range append(done, 0) {
		var days civil.Range
		for _, t := range r.tellings {
			if t.call == c && t.standing.Asks() && (day == 0 || civil.At(t.at.In(r.site.Zone)) <= day) {
				days = t.days
			}
		}
		if days.Len() > 0 && !slices.Contains(told, days) && (day != 0 || told == nil) {
			told = append(told, days)
		}
	}
	return told
}
