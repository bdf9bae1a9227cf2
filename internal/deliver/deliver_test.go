package deliver_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"testing"
	"time"

	"budcall/internal/deliver"
	"budcall/internal/notice"
)

var noon = time.Date(2031, 5, 2, 12, 0, 0, 0, time.UTC)

// box holds one letter.
type box struct {
	parcel  notice.Parcel
	had     bool
	settled []notice.Settlement
	dots    int
	fail    map[string]error
	said    *[]string
}

func (b *box) Take(context.Context, string, time.Time) (notice.Parcel, bool, error) {
	return b.parcel, b.had, b.fail["take"]
}

func (b *box) Dot(context.Context, string) error {
	if b.fail["dot"] == nil {
		b.dots++
		*b.said = append(*b.said, "dotted")
	}
	return b.fail["dot"]
}

func (b *box) Settle(ctx context.Context, _ string, s notice.Settlement) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	b.settled = append(b.settled, s)
	*b.said = append(*b.said, "settled")
	return b.fail["settle"]
}

// carrier ends each attempt as a test says.
type carrier struct {
	result deliver.Result
	panics string // before or after the dot
	raw    []byte
}

func (c *carrier) send(ctx context.Context, dot func(context.Context) error) deliver.Result {
	if c.panics == "before" {
		panic("a letter of an unknown kind")
	}
	if err := dot(ctx); err != nil {
		return deliver.Result{Verdict: deliver.Later, Error: "not dotted"}
	}
	if c.panics == "after" {
		panic("an answer nobody expected")
	}
	return c.result
}

func (c *carrier) Mail(ctx context.Context, _ notice.Letter, raw []byte, dot func(context.Context) error) deliver.Result {
	c.raw = raw
	return c.send(ctx, dot)
}

func (c *carrier) Webhook(ctx context.Context, _, _ string, body []byte, dot func(context.Context) error) deliver.Result {
	c.raw = body
	return c.send(ctx, dot)
}

func (c *carrier) Delay(_ notice.Channel, attempt int) time.Duration {
	return time.Duration(attempt) * time.Minute
}

// bench is a job with what it is joined to; said is everything in its order.
type bench struct {
	*deliver.Job
	box     *box
	carrier *carrier
	said    []string
	fail    map[string]error // of trouble, refused and over
}

func newBench() *bench {
	b := &bench{carrier: &carrier{result: deliver.Result{Verdict: deliver.Sent, RelayID: "queued as 7"}}, fail: map[string]error{}}
	content, err := json.Marshal(notice.Letter{ID: "l1", Kind: notice.Calls, To: "otso@birches.example"})
	if err != nil {
		panic(err)
	}
	b.box = &box{said: &b.said, had: true, fail: map[string]error{}, parcel: notice.Parcel{
		ID: "l1", Channel: notice.ByMail, Target: "otso", Kind: "calls", Content: content, WrittenAt: noon, ExpiresAt: noon.Add(24 * time.Hour), Attempts: 2,
	}}
	note := func(format string, args ...any) { b.said = append(b.said, fmt.Sprintf(format, args...)) }
	b.Job = &deliver.Job{
		Box: b.box, Carrier: b.carrier, Logger: slog.New(slog.DiscardHandler),
		Render:  func(l notice.Letter) ([]byte, error) { return []byte("mail " + l.ID), nil },
		Now:     func(context.Context) (time.Time, error) { return noon, b.fail["now"] },
		Counted: func(c notice.Channel, v deliver.Verdict, doubtful bool) { note("counted %s %s %v", c, v, doubtful) },
		Trouble: func(_ context.Context, subject, text string) error {
			note("trouble %s: %s", subject, text)
			return b.fail["trouble"]
		},
		Over: func(_ context.Context, subject string) error { note("over %s", subject); return b.fail["over"] },
		At:   func(point string) { note("at %s", point) },
	}
	return b
}

func TestHowEachAttemptIsSettled(t *testing.T) {
	for _, row := range []struct {
		sentence string
		result   deliver.Result
		expires  time.Duration
		state    notice.State
		next     time.Duration // after now; 0: none
		trouble  string        // part of what the ops person is told; empty: nothing
	}{
		{"sent it is done", deliver.Result{Verdict: deliver.Sent, RelayID: "7"}, 24 * time.Hour, notice.Sent, 0, ""},
		{"later it waits for the delay of its attempt", deliver.Result{Verdict: deliver.Later, Error: "busy"}, 24 * time.Hour, notice.Waiting, 2 * time.Minute, ""},
		{"where the other side asks for a longer wait it gets it", deliver.Result{Verdict: deliver.Later, Error: "busy", Wait: time.Hour}, 24 * time.Hour, notice.Waiting, time.Hour, ""},
		{"what may have arrived is tried again and counted as such", deliver.Result{Verdict: deliver.Unknown, Error: "broke off"}, 24 * time.Hour, notice.Dotted, 2 * time.Minute, ""},
		{"refused for good it is told, and others are asked", deliver.Result{Verdict: deliver.Refused, Error: "no such mailbox"}, 24 * time.Hour, notice.Refused, 0, "people.yml"},
		{"where our own set-up is wrong it waits, and that is told", deliver.Result{Verdict: deliver.Broken, Error: "log-in refused: correct user"}, 24 * time.Hour, notice.Waiting, 2 * time.Minute, "sending by mail: log-in refused"},
		{"what can't be tried again in its time is given up, and told", deliver.Result{Verdict: deliver.Later, Error: "busy"}, time.Minute, notice.GivenUp, 0, "busy"},
		{"so is what may have arrived", deliver.Result{Verdict: deliver.Unknown, Error: "broke off"}, time.Minute, notice.GivenUp, 0, "broke off"},
		{"and what our set-up kept from going", deliver.Result{Verdict: deliver.Broken, Error: "log-in refused"}, time.Minute, notice.GivenUp, 0, "mail to otso"},
		{"on its last minute it is still sent", deliver.Result{Verdict: deliver.Sent}, 0, notice.Sent, 0, ""},
	} {
		b := newBench()
		b.carrier.result = row.result
		b.box.parcel.ExpiresAt = noon.Add(row.expires)
		if err := b.Do(t.Context(), "l1"); err != nil {
			t.Errorf("%s: %v", row.sentence, err)
		}
		if len(b.box.settled) != 1 {
			t.Errorf("%s: settled %d times", row.sentence, len(b.box.settled))
			continue
		}
		s := b.box.settled[0]
		next := time.Duration(0)
		if s.State == notice.Waiting || s.State == notice.Dotted {
			next = s.NextTry.Sub(noon)
		}
		if s.State != row.state || next != row.next || !s.At.Equal(noon) || s.RelayID != row.result.RelayID || s.Error != row.result.Error {
			t.Errorf("%s: %+v", row.sentence, s)
		}
		all := strings.Join(b.said, "\n")
		if strings.Contains(all, "trouble") != (row.trouble != "") || !strings.Contains(all, row.trouble) {
			t.Errorf("%s:\n%s", row.sentence, all)
		}
		if !strings.Contains(all, fmt.Sprintf("counted mail %s false", row.result.Verdict)) {
			t.Errorf("%s: not counted:\n%s", row.sentence, all)
		}
	}
}

func TestTheOrderOfThings(t *testing.T) {
	b := newBench()
	b.box.parcel.Doubtful = 1
	if err := b.Do(t.Context(), "l1"); err != nil {
		t.Fatal(err)
	}
	want := []string{"at claimed", "dotted", "at before the dot", "at sent", "counted mail sent true", "settled", "over sending by mail", "over mail to otso"}
	if !slices.Equal(b.said, want) || string(b.carrier.raw) != "mail l1" {
		t.Errorf("%v, sent %q", b.said, b.carrier.raw)
	}
	b.said = nil
	b.carrier.result = deliver.Result{Verdict: deliver.Refused, Error: "no such mailbox"}
	if err := b.Do(t.Context(), "l1"); err != nil {
		t.Fatal(err)
	}
	var order []string
	for _, s := range b.said[len(b.said)-2:] {
		word, _, _ := strings.Cut(s, " ")
		order = append(order, word)
	}
	if !slices.Equal(order, []string{"trouble", "settled"}) { // a settled letter isn't looked at again
		t.Errorf("%v", b.said)
	}
}

func TestATroubleWithAChannelEndsWithTheNextLetter(t *testing.T) {
	b := newBench()
	for i, verdict := range []deliver.Verdict{deliver.Sent, deliver.Sent, deliver.Broken, deliver.Later, deliver.Sent, deliver.Sent} {
		b.carrier.result = deliver.Result{Verdict: verdict}
		b.said = nil
		if err := b.Do(t.Context(), "l1"); err != nil {
			t.Fatal(err)
		}
		over := slices.Contains(b.said, "over sending by mail")
		if want := i == 0 || i == 4; over != want {
			t.Errorf("attempt %d, %s: over %v", i+1, verdict, over)
		}
	}
}

func TestALetterWhoseTimeIsOverIsNotSentAndThatIsTold(t *testing.T) {
	b := newBench()
	b.box.parcel.ExpiresAt = noon.Add(-time.Second)
	if err := b.Do(t.Context(), "l1"); err != nil {
		t.Fatal(err)
	}
	all := strings.Join(b.said, "\n")
	if b.carrier.raw != nil || b.box.dots > 0 || len(b.box.settled) != 1 || b.box.settled[0].State != notice.GivenUp {
		t.Errorf("sent %q, settled %+v", b.carrier.raw, b.box.settled)
	}
	if !strings.Contains(all, "trouble mail to otso") || strings.Contains(all, "counted") {
		t.Error(all)
	}
}

func TestALetterThatIsNotToBeSentNowIsLeftAlone(t *testing.T) {
	b := newBench()
	b.box.had = false
	if err := b.Do(t.Context(), "l1"); err != nil || len(b.said) > 0 {
		t.Errorf("%v %v", b.said, err)
	}
}

func TestAFailingMemory(t *testing.T) {
	away := errors.New("the database is away")
	for _, point := range []string{"now", "take", "settle"} {
		b := newBench()
		b.carrier.result = deliver.Result{Verdict: deliver.Refused}
		b.fail[point], b.box.fail[point] = away, away
		if err := b.Do(t.Context(), "l1"); !errors.Is(err, away) {
			t.Errorf("%s: %v", point, err)
		}
	}
	b := newBench()
	b.box.fail["dot"] = away // then its end isn't sent
	if err := b.Do(t.Context(), "l1"); err != nil || b.box.settled[0].State != notice.Waiting {
		t.Errorf("%+v %v", b.box.settled, err)
	}
	// A trouble that can't be noted keeps no letter in our hands.
	b = newBench()
	b.carrier.result, b.fail["trouble"] = deliver.Result{Verdict: deliver.Refused}, away
	if err := b.Do(t.Context(), "l1"); !errors.Is(err, away) || len(b.box.settled) != 1 {
		t.Errorf("%+v %v", b.box.settled, err)
	}
}

func TestALetterThatWeStumbleOver(t *testing.T) {
	for _, row := range []struct {
		sentence string
		change   func(*bench)
		state    notice.State
		says     string
	}{
		{"content that is no letter", func(b *bench) { b.box.parcel.Content = json.RawMessage(`{"id":`) }, notice.Refused, "content can't be read"},
		{"a letter that can't be written as a mail", func(b *bench) {
			b.Render = func(notice.Letter) ([]byte, error) { return nil, errors.New("no recipient") }
		}, notice.Refused, "no recipient"},
		{"a panic before the dot", func(b *bench) { b.carrier.panics = "before" }, notice.Waiting, "stumbled"},
		{"a panic after it: it may have arrived", func(b *bench) { b.carrier.panics = "after" }, notice.Dotted, "stumbled"},
		{"a panic in writing it", func(b *bench) { b.Render = func(notice.Letter) ([]byte, error) { panic("nil") } }, notice.Waiting, "stumbled"},
	} {
		b := newBench()
		row.change(b)
		if err := b.Do(t.Context(), "l1"); err != nil {
			t.Errorf("%s: %v", row.sentence, err)
		}
		if len(b.box.settled) != 1 || b.box.settled[0].State != row.state || !strings.Contains(b.box.settled[0].Error, row.says) {
			t.Errorf("%s: %+v", row.sentence, b.box.settled)
		}
	}
}

func TestAWebhookGoesAsItWasWritten(t *testing.T) {
	b := newBench()
	b.box.parcel.Channel, b.box.parcel.Content = notice.ByWebhook, json.RawMessage(`{"kind":"x"}`)
	if err := b.Do(t.Context(), "l1"); err != nil || string(b.carrier.raw) != `{"kind":"x"}` || b.box.dots != 1 {
		t.Errorf("%s %v", b.carrier.raw, err)
	}
}

// Told to stop in the middle, the attempt is still booked.
func TestWhatWasSentIsBookedWhenWeAreToldToStop(t *testing.T) {
	b := newBench()
	ctx, stop := context.WithCancel(t.Context())
	b.At = func(point string) {
		if point == "sent" {
			stop()
		}
	}
	if err := b.Do(ctx, "l1"); err != nil || b.box.settled[0].State != notice.Sent {
		t.Errorf("%+v %v", b.box.settled, err)
	}
}
