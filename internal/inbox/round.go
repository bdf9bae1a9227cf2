package inbox

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/emersion/go-imap/v2"
	"github.com/emersion/go-imap/v2/imapclient"
)

// errVanished means that the server lists a message and doesn't give it:
// somebody moved or deleted it meanwhile.
var errVanished = errors.New("the mail is no longer in the mailbox")

func literalOf(item imapclient.FetchItemData) (imap.LiteralReader, bool) {
	body, ok := item.(imapclient.FetchItemDataBodySection)
	return body.Literal, ok && body.Literal != nil
}

// retry is when a message that couldn't be dealt with is tried again. It isn't
// remembered over a restart: then each is tried at once.
type retry struct {
	failed int
	next   time.Time
}

// Round reads the mailbox once: it keeps what came since the place of the
// Mark, and moves the place on after each message. A message that can't be
// read or kept is left for later rounds, and holds back no other. An error
// means that the mailbox wasn't read to its end.
func (p *Poller) Round(ctx context.Context) (err error) {
	defer func() {
		event := Polled
		if err != nil {
			event = PollError
		}
		p.keeper.count(event)
	}()
	ctx, cancel := context.WithTimeout(ctx, p.options.Whole)
	defer cancel()
	place, err := p.options.Mark.At(ctx, p.options.Mailbox)
	if err != nil {
		return fmt.Errorf("looking up how far the mailbox was read: %w: look at the database", err)
	}
	m, err := p.openMailbox(ctx)
	if err != nil {
		return err
	}
	defer m.close()
	fresh := place.Validity != m.validity
	if fresh {
		place, p.later = Place{Validity: m.validity}, map[uint32]retry{}
	}
	mails, err := m.list(place.UID, p.due(place.Left))
	if err != nil {
		return err
	}
	return p.work(ctx, m, place, older{mails: mails, fresh: fresh})
}

// due are the messages left whose time has come.
func (p *Poller) due(left []uint32) (due []uint32) {
	now := p.options.Now()
	for _, uid := range left {
		if !p.later[uid].next.After(now) {
			due = append(due, uid)
		}
	}
	return due
}

// older is a list of messages, and whether the mailbox is read from its start.
type older struct {
	mails []listed
	fresh bool
}

// work deals with the messages one by one: those that came since, then those
// left from before, so that one that ends the connection each time ends only
// a round whose new messages are through.
func (p *Poller) work(ctx context.Context, m *mailbox, place Place, list older) error {
	horizon := p.options.Now().Add(-p.options.MaxAge)
	start, stored := place.UID, !list.fresh
	for _, again := range []bool{false, true} {
		for _, l := range list.mails {
			if (l.uid <= start) != again {
				continue
			}
			if list.fresh && !l.at.IsZero() && l.at.Before(horizon) {
				p.keeper.count(PassedBy)
				place, stored = place.done(l.uid), false
				continue
			}
			err := p.one(ctx, m, l)
			if ctx.Err() != nil {
				return fmt.Errorf("stopped while the mailbox was read: %w", context.Cause(ctx))
			}
			place = p.settle(place, l.uid, err)
			if err := p.options.Mark.Set(ctx, p.options.Mailbox, place); err != nil {
				return fmt.Errorf("writing down how far the mailbox was read: %w: look at the database", err)
			}
			stored = true
			if broken(m) {
				return fmt.Errorf("the connection ended at the mail with number %d: %w", l.uid, cmp.Or(err, io.ErrUnexpectedEOF))
			}
		}
	}
	rest := p.gone(place, list)
	if stored && len(rest.Left) == len(place.Left) {
		return nil
	}
	if err := p.options.Mark.Set(ctx, p.options.Mailbox, rest); err != nil {
		return fmt.Errorf("writing down how far the mailbox was read: %w: look at the database", err)
	}
	return nil
}

// broken tells whether the connection is gone; the client ends it after a BYE
// and after anything that it can't read.
func broken(m *mailbox) bool { return m.client.State() == imap.ConnStateLogout }

// settle moves the place on over a message, and remembers one to try again.
func (p *Poller) settle(place Place, uid uint32, err error) Place {
	if err == nil || errors.Is(err, errVanished) {
		delete(p.later, uid)
		return place.done(uid)
	}
	r := p.later[uid]
	r.failed++
	r.next = p.options.Now().Add(backOff(p.options.Every, r.failed))
	p.later[uid] = r
	p.options.Log.Warn("a mail couldn't be taken from the mailbox and is tried again later; look at it there", "number", uid, "error", err, "failures", r.failed)
	return place.leave(uid)
}

// gone forgets the messages left that were asked for and are no longer there.
func (p *Poller) gone(place Place, list older) Place {
	there := map[uint32]bool{}
	for _, l := range list.mails {
		there[l.uid] = true
	}
	for _, uid := range p.due(place.Left) {
		if !there[uid] {
			delete(p.later, uid)
			place = place.done(uid)
		}
	}
	return place
}

// one fetches, keeps and puts away one message.
func (p *Poller) one(ctx context.Context, m *mailbox, l listed) error {
	raw, cut, err := m.fetch(l, p.options.MaxBytes)
	if err != nil {
		return err
	}
	if cut {
		p.keeper.count(TooLarge)
	}
	a := Arrived{Raw: raw, Key: KeyOf(raw), At: l.at, Way: ByIMAP, Size: l.size, Cut: cut}
	a.From = bare(valueOf(raw, "return-path"))
	if to := bare(valueOf(raw, "delivered-to")); to != "" {
		a.To = []string{to}
	}
	if a.At.IsZero() {
		a.At = p.options.Now().UTC()
	}
	if err := p.keeper.take(ctx, a); err != nil {
		return fmt.Errorf("keeping the mail %s: %w", a.Key.Short(), err)
	}
	if err := p.putAway(m, l.uid); err != nil {
		// It is kept: that it looks unread in the mailbox is no reason to read it again.
		p.options.Log.Warn("a mail was kept, and stays as it is in the mailbox", "number", l.uid, "error", err)
	}
	return nil
}
