package app

import (
	"cmp"
	"context"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/notice"
	"budcall/internal/postgres"
	"budcall/internal/report"
)

// answer is what follows from a mail that was read: what is stored, and who is
// told.
type answer struct {
	*mailroom
	programme *config.Programme
	book      *postgres.Inbox
	arrival   postgres.Arrival
	reading   report.Reading
	now       time.Time
	in        postgres.Inbound
}

// decide settles what is stored and who is told. Programs that answer get no
// answer, whatever else they are.
func (w *answer) decide(ctx context.Context) error {
	r := w.reading
	switch r.Outcome {
	case report.IgnoredAuto, report.IgnoredList:
		return nil
	case report.Returned:
		w.in.Returned, w.in.Why = r.Token, returnedWhy(r.Bounce)
		return nil
	case report.Refused:
		return w.receipt(ctx)
	}
	if whole, err := w.settings(ctx); err != nil || whole {
		return err
	}
	for _, p := range r.Photos {
		w.in.Photos = append(w.in.Photos, postgres.Photo{Type: p.Type, Bytes: p.Bytes})
	}
	w.in.Reports = r.Reports
	for i := range w.in.Reports {
		w.in.Reports[i].At = w.now
	}
	switch {
	case r.Outcome == report.HeldForTap && len(r.Reports) > 0:
		w.in.Held, w.in.Asked = true, r.As
		if err := w.tell(ctx, r.As, notice.Tap); err != nil {
			return err
		}
		return w.toCoordinator(ctx, len(r.Photos) > 0)
	case r.Outcome == report.HeldForTap: // nothing to confirm: a person reads it
		if err := w.receipt(ctx); err != nil {
			return err
		}
		return w.toCoordinator(ctx, true)
	case r.Outcome == report.HeldForCoordinator:
		if len(r.Reports) > 0 {
			w.in.Held, w.in.Asked = true, w.programme.Coordinator
		}
		return w.toCoordinator(ctx, true)
	}
	w.in.Then = w.app.engine.occasion(runReport, w.in.Key, w.now, sitesOf(w.in))
	if err := w.receipt(ctx); err != nil {
		return err
	}
	return w.toCoordinator(ctx, r.Outcome != report.Stored || len(r.Photos) > 0 || len(r.Asks) > 0)
}

// sitesOf gives the sites that reports are of.
func sitesOf(in postgres.Inbound) (sites []string) {
	seen := map[string]bool{}
	for _, r := range in.Reports {
		if !seen[r.Site] {
			seen[r.Site] = true
			sites = append(sites, r.Site)
		}
	}
	return sites
}

// passesOn tells whether the coordinator gets the mail too.
func (w *answer) passesOn() bool {
	r := w.reading
	return w.programme.Coordinator != r.Person && r.Outcome != report.Refused &&
		(r.Outcome != report.Stored || len(r.Photos) > 0 || len(r.Asks) > 0)
}

// receipt tells a sender whom we know what became of the mail.
func (w *answer) receipt(ctx context.Context) error {
	person := cmp.Or(w.reading.Person, w.reading.As)
	if person == "" {
		return nil
	}
	return w.tell(ctx, person, notice.Receipt)
}

// toCoordinator passes the mail on, whole, unless the coordinator sent it.
func (w *answer) toCoordinator(ctx context.Context, needed bool) error {
	if !needed || w.reading.Person == w.programme.Coordinator && w.reading.Outcome != report.HeldForCoordinator {
		return nil
	}
	return w.tell(ctx, w.programme.Coordinator, notice.Unread)
}

// tell adds a letter about the mail. Nobody gets more of a kind than so many a
// day: two programs that answer each other end there, and a flood does too.
func (w *answer) tell(ctx context.Context, person string, kind notice.Kind) error {
	most := w.programme.Inbox.MaxAnswer
	kinds := []string{string(notice.Receipt), string(notice.Tap)}
	if kind == notice.Unread {
		most, kinds = coordinatorTimes*most, []string{string(notice.Unread)}
	}
	n, err := w.book.Receipts(ctx, person, kinds, w.now.Add(-24*time.Hour))
	if err != nil {
		return err
	}
	if n >= most {
		w.app.log.WarnContext(ctx, "a mail was read and nobody is told, since the day's letters are used up: look whether a program answers us", "mail", w.arrival.ID, "kind", kind, "a day", most)
		return nil
	}
	thread := ""
	if kind == notice.Receipt {
		thread = w.reading.Token
	}
	signed, err := w.app.links.of(ctx, w.book, person)
	if err != nil {
		return err
	}
	letter, err := directory(w.programme, signed.key).Reply(w.now, person, w.reply(person, kind, signed), thread)
	if err != nil {
		return err
	}
	w.in.Letters = append(w.in.Letters, letter)
	return nil
}

// coordinatorTimes is how many times the receipts of a person a coordinator
// may get in mails passed on: our assumption.
const coordinatorTimes = 5

// reply is what a letter says of the mail.
func (w *answer) reply(person string, kind notice.Kind, signed links) notice.Reply {
	r := w.reading
	out := notice.Reply{
		Arrived: w.arrival.ID, For: kind, Outcome: string(r.Outcome), Sender: personName(w.programme, r.Person), Day: r.Written,
		Reports: r.Reports, Photos: len(r.Photos), TooLarge: r.Outcome == report.Refused, Passed: w.passesOn(),
	}
	if out.Day == 0 {
		out.Day = civil.At(w.arrival.At)
	}
	if r.Person == "" {
		out.As = personName(w.programme, r.As)
	}
	for _, l := range r.Unread {
		out.Unread = append(out.Unread, notice.UnreadLine{Text: l.Text, Why: string(l.Why)})
	}
	for _, d := range r.Dropped {
		out.KeptOut = append(out.KeptOut, notice.KeptOut{Name: d.Name, Why: string(d.Why)})
	}
	if r.Person == "" && r.As == "" && r.Token == "" {
		out.Asks = append(out.Asks, "unknown sender")
	}
	for _, a := range r.Asks {
		out.Asks = append(out.Asks, string(a))
	}
	if len(r.Photos) > 0 {
		out.Asks = append(out.Asks, "photos")
	}
	if len(r.Unread) > 0 {
		out.Asks = append(out.Asks, "lines")
	}
	switch {
	case w.in.Held && person == w.in.Asked:
		until := w.now.AddDate(0, 0, heldDays)
		out.Link, out.Expires = signed.held(person, w.arrival.ID, until), civil.At(until)
	case w.in.Held:
		out.Reports = nil // nothing of it is stored yet, and who reads this can't confirm it
	}
	return out
}
