package app

import (
	"context"
	"errors"
	"time"

	"budcall/internal/inbox"
	"budcall/internal/link"
	"budcall/internal/notice"
	"budcall/internal/postgres"
)

// mailroom takes mails in and has them read.
type mailroom struct {
	app   *App
	wake  chan struct{} // a mail came in
	count func(outcome string)
}

// openInbox opens the ways in that are configured, and reads what is left from
// before. It is opened last and closed first: what comes in is stored whole
// before its sender is let go.
func (a *App) openInbox(ctx context.Context) error {
	p := a.conf.programme()
	if !p.Inbox.On() {
		return nil
	}
	a.mailroom = &mailroom{app: a, wake: make(chan struct{}, 1), count: a.gauges.m.Reply}
	run, stop := context.WithCancel(context.WithoutCancel(ctx))
	done := make(chan struct{})
	go func() { defer close(done); a.mailroom.readOn(run) }()
	a.onClose(func(context.Context) error { stop(); <-done; return nil })
	if p.Inbox.Listen != "" {
		if err := a.openListener(ctx); err != nil {
			return err
		}
	}
	if p.Inbox.IMAP.Server != "" {
		return a.openPoller(ctx)
	}
	return nil
}

func (a *App) openListener(ctx context.Context) error {
	p := a.conf.programme()
	l, err := inbox.Listen(context.WithoutCancel(ctx), inbox.ListenOptions{
		Addr: p.Inbox.Listen, SMTP: p.Inbox.SMTP, Domain: p.Mail.Hello, MaxBytes: p.Inbox.MaxBytes,
		Keep: a.mailroom.keep, Count: a.gauges.arrived, Log: a.log,
	})
	if err != nil {
		return err
	}
	a.arrivals = l.Addr()
	a.onClose(func(ctx context.Context) error {
		ctx, cancel := context.WithTimeout(ctx, stopWithin)
		defer cancel()
		return l.Close(ctx)
	})
	return nil
}

func (a *App) openPoller(ctx context.Context) error {
	box := a.conf.programme().Inbox
	password, err := (&secrets{dir: a.conf.dir}).one(box.IMAP.PasswordFile)
	if err != nil {
		return err
	}
	security := map[string]inbox.Security{"implicit": inbox.TLS, "starttls": inbox.StartTLS, "none": inbox.NoTLS}[box.IMAP.TLS]
	poller, err := inbox.NewPoller(inbox.PollOptions{
		Addr: box.IMAP.Server, Security: security, User: box.IMAP.User, Password: password, Mailbox: box.IMAP.Name,
		After: inbox.Afterwards(box.IMAP.After), Folder: box.IMAP.Folder, MaxBytes: box.MaxBytes, Every: box.IMAP.Every,
		Keep: a.mailroom.keep, Mark: places{a.db}, Count: (&mailboxWatch{app: a, fresh: true}).count, Log: a.log,
	})
	if err != nil {
		return err
	}
	run, stop := context.WithCancel(context.WithoutCancel(ctx))
	done := make(chan struct{})
	go func() { defer close(done); poller.Run(run) }()
	a.onClose(func(context.Context) error { stop(); <-done; return nil })
	return nil
}

// mailboxWatch tells the ops person where the mailbox can't be read for a
// while. It is called from one goroutine.
type mailboxWatch struct {
	app    *App
	failed int  // looks in a row
	fresh  bool // no look has succeeded since the start: a trouble from before may stand
}

// troubleAfter is after how many failed looks in a row the ops person hears of
// it: with the pauses between them about half an hour.
const troubleAfter = 5

const mailboxTrouble = "mailbox for answers"

func (w *mailboxWatch) count(e inbox.Event) {
	w.app.gauges.arrived(e)
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	var err error
	switch e {
	case inbox.PollError:
		if w.failed++; w.failed == troubleAfter {
			err = w.app.withNow(ctx, func(at time.Time) error {
				return w.app.db.Raise(ctx, mailboxTrouble, "The mailbox for answers by mail can't be read. Nothing is lost: mails wait there. The log says why; check the server, the user and the password under inbox in programme.yml.", at)
			})
		}
	case inbox.Polled:
		if w.failed >= troubleAfter || w.fresh {
			err = w.app.withNow(ctx, func(at time.Time) error { return w.app.db.Over(ctx, mailboxTrouble, at) })
		}
		w.failed, w.fresh = 0, false
	}
	if err != nil {
		w.app.log.WarnContext(ctx, "noting how the mailbox is", "error", err)
	}
}

// InboxAddr is where mails are taken in by LMTP or SMTP; empty where they
// aren't.
func (a *App) InboxAddr() string { return a.arrivals }

// places is how far mailboxes were read, in the database.
type places struct{ db *postgres.DB }

func (p places) At(ctx context.Context, mailbox string) (inbox.Place, error) {
	at, err := p.db.MailboxPlace(ctx, mailbox)
	return inbox.Place(at), err
}

func (p places) Set(ctx context.Context, mailbox string, at inbox.Place) error {
	return p.db.SetMailboxPlace(ctx, mailbox, postgres.Place(at))
}

// keep stores a mail as it came. In simulated time it came just now.
func (m *mailroom) keep(ctx context.Context, a inbox.Arrived) error {
	at := a.At
	if m.app.clock.simulated {
		now, err := m.app.clock.now(ctx)
		if err != nil {
			return err
		}
		at = now
	}
	fresh, err := m.app.db.Arrive(ctx, postgres.Arrival{
		Key: a.Key[:], Raw: a.Raw, Size: a.Size, Cut: a.Cut, NullSender: a.From == "" && a.Way != inbox.ByIMAP, Way: string(a.Way), At: at,
	})
	if err != nil {
		return err
	}
	if fresh {
		select {
		case m.wake <- struct{}{}:
		default: // it is awake already
		}
	}
	return nil
}

// readAgain is how long a mail waits to be looked at where nothing wakes us:
// another process took it in, or the database was away.
const readAgain = 30 * time.Second

// readOn reads what came in until ctx ends.
func (m *mailroom) readOn(ctx context.Context) {
	timer := time.NewTicker(readAgain)
	defer timer.Stop()
	for {
		if err := m.readAll(ctx); err != nil && ctx.Err() == nil {
			m.app.log.ErrorContext(ctx, "a mail waits to be read", "error", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-m.wake:
		case <-timer.C:
		}
	}
}

// ReadMails reads every mail that waits, now.
func (a *App) ReadMails(ctx context.Context) error {
	if a.mailroom == nil {
		return errors.New("no way in for mails is configured: set inbox in programme.yml")
	}
	return a.mailroom.readAll(ctx)
}

// mostAttempts is how often reading a mail may fail before a person gets it.
const mostAttempts = 3

// readAll reads until no mail waits. One that can't be read holds back no
// other: after a few attempts it goes to the coordinator as it is.
func (m *mailroom) readAll(ctx context.Context) error {
	for {
		now, err := m.app.clock.now(ctx)
		if err != nil {
			return err
		}
		var outcome string
		found, err := m.app.db.ReadMail(ctx, now, func(b *postgres.Inbox, a postgres.Arrival) (in postgres.Inbound, err error) {
			in, err = m.read(ctx, b, a, now)
			outcome = in.Outcome
			return in, err
		})
		switch {
		case err != nil:
			return err
		case !found:
			days := m.app.conf.programme().Inbox.KeepDays
			return m.app.db.DropMails(ctx, now.AddDate(0, 0, -days))
		}
		m.count(outcome)
	}
}

// held gives the link with which somebody says yes to a mail that waits.
func (l links) held(person string, arrived int64, until time.Time) string {
	c := link.Held(person, arrived, until)
	c.Turn = l.turns[person]
	return l.base() + "/held/" + link.Sign(l.key, c)
}

// withMail writes a letter again that passes a mail on, with that mail. One
// that isn't kept any more, or too large for a relay, is described without it.
func (c *carrier) withMail(ctx context.Context, l notice.Letter, raw []byte) ([]byte, error) {
	if l.Kind != notice.Unread || l.Reply == nil || c.mails == nil {
		return raw, nil
	}
	mail, kept, err := c.mails(ctx, l.Reply.Arrived)
	if err != nil {
		return nil, err
	}
	if !kept || len(mail) > mostAttached {
		return raw, nil
	}
	l.Reply.Mail = mail
	return notice.Mail(l)
}

// mostAttached is how large a mail may be that is passed on, in bytes: in
// base64 it grows by a third, and many relays take no more than 25 MB.
const mostAttached = 17 << 20
