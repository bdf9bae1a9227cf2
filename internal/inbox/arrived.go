// Package inbox is the two ways in for replies: an LMTP or SMTP listener
// behind a mail server, and the polling of an IMAP mailbox (go-smtp, go-imap).
//
// Both hand each whole message to a Keep, and let go of it only after Keep has
// committed. A message may be handed over more than once (a lost 250, a
// mailbox read again); Arrived.Key tells that it is the same one.
package inbox

import (
	"context"
	"fmt"
	"log/slog"
	"runtime/debug"
	"time"
)

// Way is how a message came in.
type Way string

// The ways.
const (
	ByLMTP Way = "lmtp"
	BySMTP Way = "smtp"
	ByIMAP Way = "imap"
)

// Arrived is one message as it came.
type Arrived struct {
	Raw  []byte // header and body as they came, trace fields included
	Key  Key    // the same for the same message, however often and whichever way it comes
	From string // envelope sender; empty is the null sender of bounces, and what a mailbox doesn't tell
	To   []string
	At   time.Time // when it reached us, or the mailbox
	Way  Way
	Size int64 // of the whole message in bytes
	Cut  bool  // larger than the limit: Raw is the header alone
}

// Keep stores a message for good. It must be idempotent by Arrived.Key, and
// return only once the message is safe; after an error the message is offered
// again later. It may be called from several goroutines.
type Keep func(ctx context.Context, a Arrived) error

// Event is what became of a message or an attempt; each is counted.
type Event string

// The events. They make a closed list, for metrics.
const (
	Kept      Event = "kept"       // handed to Keep, which committed; also a repetition
	NotKept   Event = "not kept"   // Keep failed: it will come again
	TooLarge  Event = "too large"  // over the limit; refused, or its header kept
	Stranger  Event = "stranger"   // refused: not an address of ours
	CutOff    Event = "cut off"    // the connection ended inside a message
	Busy      Event = "busy"       // turned away: too many connections
	PassedBy  Event = "passed by"  // in the mailbox since before the programme looks back
	PollError Event = "poll error" // the mailbox couldn't be read
	Polled    Event = "polled"     // the mailbox was read to its end
)

// Events are all events.
var Events = []Event{Kept, NotKept, TooLarge, Stranger, CutOff, Busy, PassedBy, PollError, Polled}

// Limits shared by both ways; zero values mean the defaults.
const (
	defaultMaxBytes = 25 << 20 // common limit of mail providers
	defaultKeepTime = 30 * time.Second
)

// keeper calls a Keep within its time, and counts.
type keeper struct {
	keep  Keep
	limit time.Duration
	count func(Event)
	log   *slog.Logger
}

func newKeeper(keep Keep, limit time.Duration, count func(Event), log *slog.Logger) keeper {
	if limit <= 0 {
		limit = defaultKeepTime
	}
	if count == nil {
		count = func(Event) {}
	}
	if log == nil {
		log = slog.New(slog.DiscardHandler)
	}
	return keeper{keep: keep, limit: limit, count: count, log: log}
}

// take hands a message over. A panic on one message is an error of that
// message, and takes nothing else with it.
func (k keeper) take(ctx context.Context, a Arrived) (err error) {
	ctx, cancel := context.WithTimeout(ctx, k.limit)
	defer cancel()
	defer func() {
		if v := recover(); v != nil {
			k.log.Error("keeping a mail went wrong inside", "key", a.Key.Short(), "panic", fmt.Sprint(v), "stack", string(debug.Stack()))
			err = fmt.Errorf("keeping the mail %s: %v (this is a fault of the program, please report it with the log)", a.Key.Short(), v)
		}
		if err != nil {
			k.count(NotKept)
			return
		}
		k.count(Kept)
	}()
	return k.keep(ctx, a)
}
