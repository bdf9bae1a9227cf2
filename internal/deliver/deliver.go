// Package deliver is the job that sends one letter and settles it: by mail or
// to a webhook, at least once, never lost.
package deliver

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"budcall/internal/notice"
)

// Box is what the job needs of the memory.
type Box interface {
	// Take claims a parcel; ok is false where it isn't to be sent now.
	Take(ctx context.Context, id string, at time.Time) (p notice.Parcel, ok bool, err error)
	// Dot records that the end of the message is about to be sent.
	Dot(ctx context.Context, id string) error
	// Settle records how the attempt ended.
	Settle(ctx context.Context, id string, s notice.Settlement) error
}

// Verdict is what a carrier says of an attempt.
type Verdict string

// The verdicts of a carrier.
const (
	Sent    Verdict = "sent"
	Later   Verdict = "later"   // may go through another time
	Refused Verdict = "refused" // never, to this recipient
	Broken  Verdict = "broken"  // our own set-up is wrong: nothing goes through until it is mended
	Unknown Verdict = "unknown" // it may have arrived
)

// Result is how a carrier's attempt ended.
type Result struct {
	Verdict Verdict
	RelayID string
	Error   string        // without personal data
	Wait    time.Duration // the least wait that the other side asked for; 0: none
}

// Carrier sends a message; beforeDot is called before its end is sent.
type Carrier interface {
	Mail(ctx context.Context, l notice.Letter, raw []byte, beforeDot func(context.Context) error) Result
	Webhook(ctx context.Context, name, id string, body []byte, beforeDot func(context.Context) error) Result
	// Delay gives the wait before the attempt after the given one.
	Delay(c notice.Channel, attempt int) time.Duration
}

// Job sends letters.
type Job struct {
	Box     Box
	Carrier Carrier
	Render  func(notice.Letter) ([]byte, error)
	Now     func(context.Context) (time.Time, error) // the program's time
	Logger  *slog.Logger
	Counted func(c notice.Channel, v Verdict, doubtful bool)      // for metrics
	Trouble func(ctx context.Context, subject, text string) error // tells the ops person
	Over    func(ctx context.Context, subject string) error       // a trouble is over; may be nil
	At      func(point string)                                    // named points, for fault tests; may be nil

	well sync.Map // channels of which nothing is known to be broken since they last sent
}

// Do sends one letter. It returns an error only where the memory failed, so
// that the queue tries again.
func (j *Job) Do(ctx context.Context, id string) error {
	now, err := j.Now(ctx)
	if err != nil {
		return err
	}
	p, ok, err := j.Box.Take(ctx, id, now)
	if err != nil || !ok {
		return err
	}
	j.at("claimed")
	settle := context.WithoutCancel(ctx) // what was sent is booked even when we are told to stop
	if now.After(p.ExpiresAt) {
		const late = "not sent before its time was over"
		return j.settle(settle, p, Result{Verdict: Later, Error: late}, notice.Settlement{State: notice.GivenUp, At: now, Error: late})
	}
	r := j.send(ctx, p)
	j.at("sent")
	j.Counted(p.Channel, r.Verdict, p.Doubtful > 0)
	return j.settle(settle, p, r, j.settlement(p, r, now))
}

// settle books how an attempt ended, whatever else fails. The ops person's
// trouble is noted first, since a letter that is settled isn't looked at again.
func (j *Job) settle(ctx context.Context, p notice.Parcel, r Result, s notice.Settlement) error {
	told := j.tell(ctx, p, r, s)
	if err := j.Box.Settle(ctx, p.ID, s); err != nil {
		return errors.Join(told, err)
	}
	if told != nil { // settling may have waited until the memory was back
		told = j.tell(ctx, p, r, s)
	}
	if err := errors.Join(told, j.mended(ctx, p, r)); err != nil {
		return err
	}
	j.Logger.InfoContext(ctx, "letter", "id", p.ID, "channel", p.Channel, "kind", p.Kind, "verdict", r.Verdict, "attempt", p.Attempts, "error", r.Error)
	return nil
}

func (j *Job) at(point string) {
	if j.At != nil {
		j.At(point)
	}
}

// send hands a letter over. A panic on the way is an attempt that failed: the
// letter must not stay in our hands.
func (j *Job) send(ctx context.Context, p notice.Parcel) (r Result) {
	dotted := false
	defer func() {
		if v := recover(); v != nil {
			r = Result{Verdict: Later, Error: fmt.Sprintf("the program stumbled over it: %v", v)}
			if dotted {
				r.Verdict = Unknown
			}
		}
	}()
	dot := func(ctx context.Context) error {
		if err := j.Box.Dot(ctx, p.ID); err != nil {
			return err
		}
		dotted = true
		j.at("before the dot")
		return nil
	}
	if p.Channel == notice.ByWebhook {
		return j.Carrier.Webhook(ctx, p.Target, p.ID, p.Content, dot)
	}
	var l notice.Letter
	if err := json.Unmarshal(p.Content, &l); err != nil {
		return Result{Verdict: Refused, Error: fmt.Sprintf("its stored content can't be read: %v", err)}
	}
	raw, err := j.Render(l)
	if err != nil {
		return Result{Verdict: Refused, Error: fmt.Sprintf("it can't be written as a mail: %v", err)}
	}
	return j.Carrier.Mail(ctx, l, raw, dot)
}

func (j *Job) settlement(p notice.Parcel, r Result, now time.Time) notice.Settlement {
	s := notice.Settlement{State: notice.Waiting, At: now, RelayID: r.RelayID, Error: r.Error}
	switch r.Verdict {
	case Sent:
		s.State = notice.Sent
	case Refused:
		s.State = notice.Refused
	default:
		if r.Verdict == Unknown {
			s.State = notice.Dotted // the next attempt counts as doubtful
		}
		s.NextTry = now.Add(max(j.Carrier.Delay(p.Channel, p.Attempts), r.Wait))
		if s.NextTry.After(p.ExpiresAt) {
			s.State = notice.GivenUp
		}
	}
	return s
}

// tell notes what the ops person must know of an attempt: that our own set-up
// is wrong, and that a letter won't arrive.
func (j *Job) tell(ctx context.Context, p notice.Parcel, r Result, s notice.Settlement) error {
	if r.Verdict == Broken {
		j.well.Delete(p.Channel)
		if err := j.Trouble(ctx, subject(p.Channel), r.Error); err != nil {
			return err
		}
	}
	if s.State != notice.Refused && s.State != notice.GivenUp {
		return nil
	}
	j.well.Delete(target(p))
	cure := "Check the address in people.yml, or the webhook in programme.yml."
	if s.State == notice.GivenUp {
		cure = "It was tried until its time was over: see that the relay or the webhook can be reached."
	}
	return j.Trouble(ctx, target(p), fmt.Sprintf("A message to %s was not taken: %s. %s", p.Target, r.Error, cure))
}

// target is the subject under which the ops person hears of one that can't be
// reached; it is over when something reaches it again.
func target(p notice.Parcel) string { return string(p.Channel) + " to " + p.Target }

// mended notes, once after each trouble, that a channel sends again, and that
// somebody can be reached again.
func (j *Job) mended(ctx context.Context, p notice.Parcel, r Result) error {
	if r.Verdict != Sent || j.Over == nil {
		return nil
	}
	for _, key := range []any{p.Channel, target(p)} {
		if _, well := j.well.Load(key); well {
			continue
		}
		about := target(p)
		if key == any(p.Channel) {
			about = subject(p.Channel)
		}
		if err := j.Over(ctx, about); err != nil {
			return err
		}
		j.well.Store(key, true)
	}
	return nil
}

func subject(c notice.Channel) string { return "sending by " + string(c) }
