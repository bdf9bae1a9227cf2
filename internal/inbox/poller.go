package inbox

import (
	"context"
	"crypto/tls"
	"fmt"
	"log/slog"
	"net"
	"net/netip"
	"time"
)

// Security is how the connection to the mailbox is kept private.
type Security string

// The ways; clear text is for loopback only.
const (
	TLS      Security = "tls"      // from the first byte, usually port 993
	StartTLS Security = "starttls" // asked for, and insisted on, before the login
	NoTLS    Security = "none"
)

// Afterwards is what becomes of a message in the mailbox once it is kept. It
// is never deleted.
type Afterwards string

// The choices.
const (
	Leave Afterwards = "leave" // nothing is changed, not even the mark that it was read
	Seen  Afterwards = "seen"  // it is marked as read
	Move  Afterwards = "move"  // it goes into another folder of the mailbox
)

// PollOptions are what a Poller needs; Addr, User, Password, Keep and Mark
// must be there.
type PollOptions struct {
	Addr     string // host:port
	Security Security
	Trust    *tls.Config // unset: the certificates that this machine trusts
	User     string
	Password string
	Mailbox  string // unset: INBOX
	After    Afterwards
	Folder   string        // of Move
	MaxBytes int64         // larger messages are not fetched, their headers are; unset: 25 MiB
	MaxAge   time.Duration // a mailbox that is read for the first time is read back so far; unset: 30 days
	Every    time.Duration // between two readings; unset: 1 min
	Silence  time.Duration // the longest that the server may say nothing; unset: 1 min
	Whole    time.Duration // the longest that one reading lasts; unset: 10 min
	KeepTime time.Duration // the longest that Keep may take; unset: 30 s
	Keep     Keep
	Mark     Mark
	Count    func(Event) // unset: nothing is counted
	Log      *slog.Logger
	Now      func() time.Time                                                  // unset: the machine's clock
	Dial     func(ctx context.Context, network, addr string) (net.Conn, error) // unset: the network
	Wait     func(ctx context.Context, d time.Duration) error                  // unset: a timer
}

func (o PollOptions) orDefaults() PollOptions {
	set := func(d *time.Duration, to time.Duration) {
		if *d <= 0 {
			*d = to
		}
	}
	set(&o.MaxAge, 30*24*time.Hour)
	set(&o.Every, time.Minute)
	set(&o.Silence, time.Minute)
	set(&o.Whole, 10*time.Minute)
	if o.Mailbox == "" {
		o.Mailbox = "INBOX"
	}
	if o.After == "" {
		o.After = Leave
	}
	if o.Security == "" {
		o.Security = TLS
	}
	if o.MaxBytes <= 0 {
		o.MaxBytes = defaultMaxBytes
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Dial == nil {
		o.Dial = (&net.Dialer{Timeout: 30 * time.Second}).DialContext
	}
	if o.Wait == nil {
		o.Wait = wait
	}
	return o
}

// Check refuses options with which the mailbox can't or mustn't be read.
func (o PollOptions) Check() error {
	host, _, err := net.SplitHostPort(o.Addr)
	switch {
	case err != nil:
		return fmt.Errorf("the mailbox's server %q isn't host:port: write for example imap.example.org:993", o.Addr)
	case o.Security != TLS && o.Security != StartTLS && o.Security != NoTLS && o.Security != "":
		return fmt.Errorf("the connection to %s can't be %q: choose tls, starttls or none", o.Addr, o.Security)
	case o.Security == NoTLS && !loopback(host):
		return fmt.Errorf("the password for %s would go over the network in clear text: choose tls or starttls", o.Addr)
	case o.User == "" || o.Password == "":
		return fmt.Errorf("the mailbox at %s needs a user and a password", o.Addr)
	case o.After == Move && (o.Folder == "" || o.Folder == o.Mailbox):
		return fmt.Errorf("mails read are to be moved, and no other folder is named: name one, or choose leave or seen")
	case o.After != Move && o.After != Seen && o.After != Leave && o.After != "":
		return fmt.Errorf("mails read can't be handled by %q: choose leave, seen or move", o.After)
	}
	return nil
}

func loopback(host string) bool {
	if host == "localhost" {
		return true
	}
	addr, err := netip.ParseAddr(host)
	return err == nil && addr.IsLoopback()
}

// Poller reads a mailbox again and again. Use it from one goroutine.
type Poller struct {
	options PollOptions
	keeper  keeper
	later   map[uint32]retry // messages left, of the current UIDVALIDITY
}

// NewPoller checks the options. Nothing is connected yet.
func NewPoller(o PollOptions) (*Poller, error) {
	if err := o.Check(); err != nil {
		return nil, err
	}
	o = o.orDefaults()
	return &Poller{options: o, keeper: newKeeper(o.Keep, o.KeepTime, o.Count, o.Log), later: map[uint32]retry{}}, nil
}

// longestBackOff is the longest wait after failures: a wrong password tried
// more often gets an account locked.
const longestBackOff = 30 * time.Minute

// Run reads the mailbox until ctx ends. After a failure it waits longer each
// time; what was kept stays kept, and the rest comes with the next reading.
func (p *Poller) Run(ctx context.Context) {
	failed := 0
	for ctx.Err() == nil {
		err := p.Round(ctx)
		if ctx.Err() != nil {
			return
		}
		pause := p.options.Every
		if err == nil {
			if failed > 0 {
				p.options.Log.Info("the mailbox can be read again", "readings failed", failed)
			}
			failed = 0
		} else {
			failed++
			pause = backOff(p.options.Every, failed)
			p.options.Log.Warn("the mailbox couldn't be read to its end", "error", err, "failures in a row", failed, "next", pause)
		}
		if p.options.Wait(ctx, pause) != nil {
			return
		}
	}
}

// backOff doubles the wait with each failure, up to longestBackOff or the
// usual wait where that is longer.
func backOff(every time.Duration, failed int) time.Duration {
	pause := every
	for range failed - 1 {
		if pause *= 2; pause > longestBackOff {
			return max(every, longestBackOff)
		}
	}
	return pause
}

func wait(ctx context.Context, d time.Duration) error {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-timer.C:
		return nil
	}
}
