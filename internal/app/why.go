package app

import (
	"cmp"
	"context"
	"fmt"
	"time"

	"budcall/internal/advance"
	"budcall/internal/call"
	"budcall/internal/config"
	"budcall/internal/postgres"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// Why is everything that is known of why a call stands as it does.
type Why struct {
	advance.Account
	Now     time.Time // the program's time, in the site's zone
	Site    config.Site
	Task    call.Task
	With    Asked // who has it; zero where nobody is asked
	Asked   []Asked
	Told    []postgres.Told // newest first
	Reports []trail.Report  // on this call, newest first
	Issued  []stage.Issued  // every changed forecast of the season, of the stage that the call hangs on, oldest first
	Scores  []stage.Score   // how these did, once it was seen; the longest lead first
}

// Asked is that somebody was asked.
type Asked struct {
	Code, Name string
	At         time.Time // in the site's zone
}

// Unknown is a name that the configuration doesn't have.
type Unknown struct {
	What  string // site, person, tree or stage
	Name  string
	Known []string
}

func (u *Unknown) Error() string { return fmt.Sprintf("no %s is called %q", u.What, u.Name) }

// Why explains a call of this season at a site.
func (b *Beside) Why(ctx context.Context, site string, task call.Task) (Why, error) {
	s, err := b.site(site)
	if err != nil {
		return Why{}, err
	}
	now, err := b.Now(ctx)
	if err != nil {
		return Why{}, err
	}
	w := Why{Now: now.In(s.Zone), Site: s, Task: task}
	err = b.db.Read(ctx, func(book *postgres.Book) error {
		w.Account, err = advance.Explain(ctx, book, advance.Task{Programme: b.programme, Site: s, Now: now}, task)
		if err != nil {
			return err
		}
		if err := w.history(ctx, book); err != nil {
			return err
		}
		told, err := book.Told(ctx, site, w.Season, 1000)
		for _, t := range told {
			if t.Task == task {
				t.At = t.At.In(s.Zone)
				w.Told = append(w.Told, t)
			}
		}
		return err
	})
	if err != nil {
		return Why{}, err
	}
	w.fill(b.programme)
	return w, nil
}

// history reads what was issued of the stage that the call hangs on.
func (w *Why) history(ctx context.Context, book *postgres.Book) error {
	record, err := book.Record(ctx, w.Site.Code, w.Season, w.Site.Zone)
	if err != nil {
		return err
	}
	for _, i := range record.Issued {
		if i.Code == w.Why.Stage {
			w.Issued = append(w.Issued, i)
		}
	}
	scores, err := book.Scores(ctx, w.Site.Code, w.Season)
	for _, s := range scores {
		if s.Code == w.Why.Stage {
			w.Scores = append(w.Scores, s)
		}
	}
	return err
}

func (w *Why) fill(p *config.Programme) {
	for _, a := range w.State.Asked {
		w.Asked = append(w.Asked, Asked{Code: a.Person, Name: personName(p, a.Person), At: a.At.In(w.Site.Zone)})
	}
	if n := len(w.Asked); n > 0 && w.State.Standing.Asks() {
		w.With = w.Asked[n-1]
	}
	for i := len(w.Account.Reports) - 1; i >= 0; i-- {
		if r := w.Account.Reports[i]; r.Task == string(w.Task) {
			w.Reports = append(w.Reports, r)
		}
	}
}

func (b *Beside) site(code string) (config.Site, error) {
	s, ok := b.programme.Site(code)
	if !ok {
		return s, &Unknown{What: "site", Name: code, Known: names(b.programme.Sites, func(s config.Site) string { return s.Code })}
	}
	return s, nil
}

func person(p *config.Programme, code string) (config.Person, error) {
	who, ok := p.Person(code)
	if !ok {
		return who, &Unknown{What: "person", Name: code, Known: names(p.People, func(q config.Person) string { return q.Code })}
	}
	return who, nil
}

func names[T any](list []T, name func(T) string) []string {
	out := make([]string, 0, len(list))
	for _, v := range list {
		out = append(out, name(v))
	}
	return out
}

// Name gives the name of a person; the code where he isn't known any more.
func (b *Beside) Name(code string) string { return cmp.Or(personName(b.programme, code), code) }
