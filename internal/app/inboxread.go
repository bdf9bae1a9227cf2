package app

import (
	"cmp"
	"context"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"time"

	"budcall/internal/config"
	"budcall/internal/notice"
	"budcall/internal/postgres"
	"budcall/internal/report"
	"budcall/internal/trail"
)

// heldDays is how long a mail can be confirmed.
const heldDays = 14

// read makes of a mail what it is: reports, a question, or something for a
// person. Nothing is stored here.
func (m *mailroom) read(ctx context.Context, b *postgres.Inbox, a postgres.Arrival, now time.Time) (postgres.Inbound, error) {
	p := m.app.conf.programme()
	k := &knowledge{ctx: ctx, book: b, programme: p, year: a.At.Year()}
	options := report.Options{
		Received: a.At, Own: []string{p.Inbox.Address, p.Mail.From, p.Mail.EnvelopeFrom}, NullSender: a.NullSender, MaxBytes: int(p.Inbox.MaxBytes),
	}
	if a.Attempts >= mostAttempts {
		return m.unreadable(b, a, now)
	}
	r := report.Read(a.Raw, k.known(), options)
	if k.err != nil {
		return postgres.Inbound{}, k.err
	}
	if a.Cut {
		r = report.Reading{Outcome: report.Refused, Person: r.Person, As: r.As, Token: r.Token, From: r.From, Written: r.Written}
	}
	w := &answer{
		mailroom: m, programme: p, book: b, arrival: a, reading: r, now: now,
		in: postgres.Inbound{Outcome: string(r.Outcome), Person: r.Person, Token: r.Token, Season: cmp.Or(r.Written.Year(), a.At.Year()), Key: mailKey(a.Key)},
	}
	if r.Written == 0 {
		w.in.Season = a.At.Year()
	}
	err := w.decide(ctx)
	return w.in, err
}

// mailKey is the key under which what a mail reports is stored: the same mail
// reports once.
func mailKey(key []byte) string { return "mail-" + hex.EncodeToString(key[:min(16, len(key))]) }

// unreadable passes a mail to the coordinator that made the program stumble.
func (m *mailroom) unreadable(b *postgres.Inbox, a postgres.Arrival, now time.Time) (in postgres.Inbound, err error) {
	p := m.app.conf.programme()
	in.Outcome = string(report.ToCoordinator)
	l, err := directory(p, m.app.links.key).Reply(now, p.Coordinator, notice.Reply{
		Arrived: a.ID, For: notice.Unread, Outcome: in.Outcome, Asks: []string{string(report.Broken)},
	}, "")
	in.Letters = []notice.Parcel{l}
	return in, err
}

// knowledge answers what only the memory knows. The first error of the memory
// is kept, since the reader takes none.
type knowledge struct {
	ctx       context.Context
	book      *postgres.Inbox
	programme *config.Programme
	year      int
	err       error
}

func (k *knowledge) known() report.Known {
	return report.Known{Mail: k.mail, Person: k.person, Site: k.site}
}

// mail finds the letter that a token names; a receipt stands for the letter
// that its mail had answered.
func (k *knowledge) mail(token string) (report.Mail, bool) {
	for range 3 {
		l, target, found, err := k.book.Letter(k.ctx, token)
		if err != nil {
			k.err = cmp.Or(k.err, err)
		}
		if err != nil || !found {
			return report.Mail{}, false
		}
		if l.Reply != nil && len(l.Thread) > 0 {
			token = l.Thread[len(l.Thread)-1]
			continue
		}
		who, ok := k.programme.Person(target)
		m := report.Mail{To: k.about(who), Sent: l.At}
		for _, it := range l.Items {
			if c := (report.Call{Site: it.Site, Task: it.Task}); !slices.Contains(m.Calls, c) {
				m.Calls = append(m.Calls, c)
			}
		}
		return m, ok && len(m.Calls) > 0
	}
	return report.Mail{}, false
}

func (k *knowledge) person(address string) (report.Person, bool) {
	who, ok := find(k.programme.People, func(p config.Person) bool { return strings.EqualFold(p.Email, address) })
	return k.about(who), ok
}

// about is a person as the reader knows them. The coordinators may report of
// any site.
func (k *knowledge) about(who config.Person) report.Person {
	p := report.Person{Code: who.Code, Name: who.Name, Language: who.Lang, Zone: who.Zone}
	all := who.Code == k.programme.Coordinator || who.Code == k.programme.CoordinatorDeputy
	for _, s := range k.programme.Sites {
		if all || s.Lead == who.Code || s.Deputy == who.Code {
			p.Sites = append(p.Sites, s.Code)
		}
	}
	return p
}

func (k *knowledge) site(code string) (report.Site, bool) {
	s, ok := k.programme.Site(code)
	if !ok {
		return report.Site{}, false
	}
	reports, err := k.book.Reports(k.ctx, code, k.year)
	if err != nil {
		k.err = cmp.Or(k.err, err)
		return report.Site{}, false
	}
	return report.Site{Code: s.Code, Trees: s.Trees, Bagged: bagged(reports)}, true
}

// bagged gives the trees on which bags were reported and not taken off since.
func bagged(reports []trail.Report) map[string]bool {
	on := map[string]bool{}
	for _, r := range reports {
		switch {
		case r.Kind == trail.BagsOn:
			on[r.Tree] = r.Selfing+r.Control > 0
		case r.Kind == trail.BagsOff && r.Tree == "":
			clear(on)
		case r.Kind == trail.BagsOff:
			delete(on, r.Tree)
		}
	}
	return on
}

// returnedWhy says why a letter came back, without its address.
func returnedWhy(b report.Bounce) string {
	if b.Status == "" {
		return "it came back"
	}
	return fmt.Sprintf("it came back (%s)", b.Status)
}
