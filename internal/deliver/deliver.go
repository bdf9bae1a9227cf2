// Package deliver is the job that sends one letter and settles it: by mail or
// to a webhook, at least once, never lost.
package deliver

import (
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
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
	Refused func(ctx context.Context, p notice.Parcel) error      // a refusal for good: others must be told at once
	At      func(point string)                                    // named points, for fault tests; may be nil
}

// Do sends one letter. It returns an error only where the memory failed, so
// that the queue tries again.
func (j Job) Do(ctx context.Context, id string) error {
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
		return j.Box.Settle(settle, id, notice.Settlement{State: notice.GivenUp, At: now, Error: "not sent before its time was over"})
	}
	r := j.send(ctx, p)
	j.at("sent")
	j.Counted(p.Channel, r.Verdict, p.Doubtful > 0)
	s := j.settlement(p, r, now)
	if err := j.Box.Settle(settle, id, s); err != nil {
		return err
	}
	j.Logger.InfoContext(ctx, "letter", "id", id, "channel", p.Channel, "kind", p.Kind, "verdict", r.Verdict, "attempt", p.Attempts, "error", r.Error)
	return j.after(settle, p, r, s)
}

func (j Job) at(point string) {
	if j.At != nil {
		j.At(point)
	}
}

func (j Job) send(ctx context.Context, p notice.Parcel) Result {
	dot := func(ctx context.Context) error {
		if err := j.Box.Dot(ctx, p.ID); err != nil {
			return err
		}
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

func (j Job) settlement(p notice.Parcel, r Result, now time.Time) notice.Settlement {
	s := notice.Settlement{State: notice.Waiting, At: now, RelayID: r.RelayID, Error: r.Error}
	switch r.Verdict {
	case Sent:
		s.State = notice.Sent
	case Refused:
		s.State = notice.Refused
	default:
		s.NextTry = now.Add(max(j.Carrier.Delay(p.Channel, p.Attempts), r.Wait))
		if s.NextTry.After(p.ExpiresAt) {
			s.State = notice.GivenUp
		}
	}
	return s
}

// after tells who must know of a letter that won't arrive.
func (j Job) after(ctx context.Context, p notice.Parcel, r Result, s notice.Settlement) error {
	switch {
	case r.Verdict == Broken:
		return j.Trouble(ctx, "sending by "+string(p.Channel), r.Error)
	case s.State == notice.Refused, s.State == notice.GivenUp:
		if err := j.Trouble(ctx, fmt.Sprintf("letter %s to %s", p.ID, p.Target),
			fmt.Sprintf("A message to %s was not taken: %s. Check the address in people.yml or the webhook in programme.yml.", p.Target, r.Error)); err != nil {
			return err
		}
		return j.Refused(ctx, p)
	}
	return nil
}
