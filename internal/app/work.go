package app

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"budcall/internal/advance"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/feed"
	"budcall/internal/notice"
	"budcall/internal/postgres"
	"budcall/internal/pull"
	"budcall/internal/tell"
	"budcall/internal/webhook"
)

// works does the pieces of runs.
type works struct {
	db        Store
	programme func() *config.Programme
	dir       string // of the configuration: station files are relative to it
	links     links
	pull      Puller
	at        func(point string) // named points, for fault tests; may be nil
	memo      *advance.Memo      // may be nil
	week      weekly             // may be nil: nobody is told each week how everything stands
}

// do does one piece of a run, whichever it is.
func (w *works) do(ctx context.Context, id int64) error {
	p, open, err := w.db.Look(ctx, id)
	if err != nil || !open {
		return err
	}
	switch p.Phase {
	case postgres.Pull:
		return w.pullOne(ctx, p)
	case postgres.Advance:
		return w.advance(ctx, p)
	case postgres.Tell:
		return w.tell(ctx, p)
	}
	return fmt.Errorf("piece %d is of an unknown phase %q: was it written by a newer budcall?", id, p.Phase)
}

func (w *works) pullOne(ctx context.Context, p postgres.Piece) error {
	order, ok := w.order(p)
	if !ok { // the configuration no longer has this source
		return w.db.Within(ctx, p.ID, nil, func(Book, postgres.Piece) (string, error) { return "gone from the configuration", nil })
	}
	if err := w.weigh(ctx, &order); err != nil {
		return err
	}
	return w.pull.Do(ctx, order)
}

// order turns the key of a piece into what is to be asked.
func (w *works) order(p postgres.Piece) (pull.Order, bool) {
	prog := w.programme()
	o := pull.Order{Piece: p.ID, Name: p.Key, Zone: prog.Zone, Now: p.Run.At, RawCopies: time.Duration(prog.RawCopyDays) * 24 * time.Hour}
	class, code, _ := strings.Cut(p.Key, ":")
	o.Class = class
	if class == "station" {
		st, ok := prog.Station(code)
		w.station(&o, st)
		o.Neighbours = neighbours(prog, st)
		return o, ok
	}
	site, ok1 := prog.Site(code)
	f, ok2 := find(prog.Forecasts, func(f config.Forecast) bool { return f.Code == site.Forecast })
	o.Site, o.Format, o.Zone = code, f.Format, site.Zone
	o.Options = feed.Options{Zone: site.Zone, Station: cmp.Or(f.ID, code)}
	o.Provider = "forecast:" + f.Code
	url, err := forecastURL(f, site)
	o.URL = url
	return o, ok1 && ok2 && err == nil
}

// station fills in where a station's readings are and how they are read.
func (w *works) station(o *pull.Order, st config.Station) {
	o.Format, o.URL, o.Options = st.Format, st.URL, feedOptions(st)
	if st.Path != "" {
		o.Path = within(w.dir, st.Path)
	}
	if s, ok := servedStation(st, o.Zone); ok {
		o.Served = s
	}
}

// advance carries a block of sites on in one transaction.
func (w *works) advance(ctx context.Context, p postgres.Piece) error {
	prog := w.programme()
	codes := strings.Split(p.Key, ",")
	return w.db.Within(ctx, p.ID, codes, func(b Book, p postgres.Piece) (string, error) {
		owed := 0
		links, err := w.links.asOf(ctx, b)
		if err != nil {
			return "", err
		}
		for _, code := range codes {
			site, ok := prog.Site(code)
			if !ok {
				continue
			}
			v, err := advance.Site(ctx, b, advance.Task{
				Programme: prog, Site: site, Now: p.Run.At, Evening: p.Run.Name == runEvening, Link: links.form, Memo: w.memo,
			})
			if unfit := (*advance.Unfit)(nil); errors.As(err, &unfit) { // this site's trouble holds back no other
				if err := b.Raise(ctx, siteTrouble(code), unfit.Error(), p.Run.At); err != nil {
					return "", err
				}
				if err := b.NotIssued(ctx, code, civil.At(p.Run.At.In(site.Zone))); err != nil {
					return "", err
				}
				continue
			}
			if err != nil {
				return "", fmt.Errorf("advancing %s: %w", code, err)
			}
			if err := b.Over(ctx, siteTrouble(code), p.Run.At); err != nil {
				return "", err
			}
			if err := warn(ctx, b, code, v.Warnings, p.Run.At); err != nil {
				return "", err
			}
			if err := w.store(ctx, b, site, v, p.Run.At); err != nil {
				return "", err
			}
			owed += len(v.Outcome.Owed)
		}
		if w.at != nil {
			w.at("before commit")
		}
		return fmt.Sprintf("%d sites, %d things owed", len(codes), owed), nil
	})
}

// warn tells the ops person what looks wrong with a site though it can be
// forecast.
func warn(ctx context.Context, b Book, site string, warnings []string, at time.Time) error {
	if len(warnings) == 0 {
		return b.Over(ctx, pastTrouble(site), at)
	}
	return b.Raise(ctx, pastTrouble(site), strings.Join(warnings, "\n"), at)
}

func (w *works) store(ctx context.Context, b Book, site config.Site, v advance.Verdict, at time.Time) error {
	for _, f := range v.Issued {
		if err := b.SaveIssued(ctx, site.Code, v.Season, f.Code, v.Today, f.Days); err != nil {
			return err
		}
	}
	if err := w.score(ctx, b, site, v, at); err != nil {
		return err
	}
	events, err := w.events(site, v, at)
	if err != nil {
		return err
	}
	return b.Decide(ctx, postgres.Decision{
		Site: site.Code, Season: v.Season, At: at, Before: v.Before, Outcome: v.Outcome, Items: v.Items, Again: v.Again, Letters: events,
	})
}

// events gives the messages to webhooks: one for each thing that somebody is
// told, and each passing on.
func (w *works) events(site config.Site, v advance.Verdict, at time.Time) ([]notice.Parcel, error) {
	prog := w.programme()
	var out []notice.Parcel
	for _, o := range v.Outcome.Owed {
		kind := webhook.StandingChanged
		if o.Passed {
			kind = webhook.PassedOn
		}
		for _, hook := range prog.Webhooks {
			c := webhook.Change{
				ID:   fmt.Sprintf("%s-%d-%s-%d-%s-%s", site.Code, v.Season, strings.ReplaceAll(string(o.Task), " ", "_"), o.Serial, o.Person, hook.Name),
				Kind: kind, At: at, ToldAt: at, Programme: prog.Code, Site: site.Code, Task: o.Task, Standing: o.Standing,
				Reason: o.Reason, Days: v.Outcome.Calls[o.Task].Days, PersonCode: o.Person,
			}
			body, err := webhook.Encode(c)
			if err != nil {
				return nil, fmt.Errorf("writing the message for webhook %s: %w", hook.Name, err)
			}
			out = append(out, notice.Parcel{
				ID: c.ID, Channel: notice.ByWebhook, Target: hook.Name, Kind: string(kind),
				Content: body, WrittenAt: at, NotBefore: restOver(prog, site, o.Person, at), ExpiresAt: at.Add(3 * 24 * time.Hour),
			})
		}
	}
	return out, nil
}

// restOver is when what rings may reach a person: at once, which is zero, or
// when their hours of rest are over.
func restOver(prog *config.Programme, site config.Site, person string, at time.Time) time.Time {
	zone := site.Zone
	if who, ok := prog.Person(person); ok && who.Zone != nil {
		zone = who.Zone
	}
	if _, ends, resting := site.Settings.Rest(at.In(zone)); resting {
		return ends.UTC()
	}
	return time.Time{}
}

// tell turns what is owed into letters.
func (w *works) tell(ctx context.Context, p postgres.Piece) error {
	if p.Run.Name == runWeek {
		return w.overview(ctx, p)
	}
	dir := directory(w.programme(), w.links.key)
	return w.db.Tell(ctx, p.ID, func(r postgres.Run, owed []notice.Due, troubles []string) ([]notice.Envelope, error) {
		late := r.At.Sub(r.Due) > 2*time.Hour
		return tell.Letters(dir, tell.Occasion{At: r.At, Late: late, Troubles: troubles}, owed)
	})
}

func directory(p *config.Programme, key []byte) tell.Directory {
	d := tell.Directory{
		Programme: p.Name, Domain: p.Mail.Domain, From: p.Mail.From, FromName: p.Mail.FromName,
		Ops: p.Ops, Coordinator: p.Coordinator, Ribbons: notice.Ribbons(p.Ribbons), People: map[string]tell.Person{}, Key: key, ReplyTo: p.Inbox.Address,
	}
	for _, who := range p.People {
		d.People[who.Code] = tell.Person{Name: who.Name, Address: who.Email, Phone: who.Phone, Lang: who.Lang, Zone: who.Zone}
	}
	return d
}

// within gives a path that is relative to a folder, unless it stands for itself.
func within(dir, path string) string {
	if filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(dir, path)
}

func find[T any](list []T, is func(T) bool) (found T, ok bool) {
	for _, v := range list {
		if is(v) {
			return v, true
		}
	}
	return found, false
}
