package webhook_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"budcall/internal/webhook"
)

func sink(t *testing.T, o webhook.SinkOptions) *webhook.Sink {
	t.Helper()
	o.Secret = publishedSecret
	if o.Now == nil {
		o.Now = func() time.Time { return attempt }
	}
	s, err := webhook.ServeSink(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	return s
}

func TestTheSinkTakesWhatIsSignedAndNothingElse(t *testing.T) {
	s, send := sink(t, webhook.SinkOptions{}), webhook.New(webhook.Options{})
	want(t, send.Send(t.Context(), endpoint(s.URL()), event()), webhook.Sent, 204, "")
	rotated, wrong, late := endpoint(s.URL()), endpoint(s.URL()), event()
	rotated.Secrets = []string{other, publishedSecret}
	wrong.Secrets = []string{other}
	late.At = attempt.Add(-time.Hour)
	want(t, send.Send(t.Context(), rotated, event()), webhook.Sent, 204, "")
	want(t, send.Send(t.Context(), wrong, event()), webhook.Refused, 401, "same secret")
	want(t, send.Send(t.Context(), endpoint(s.URL()), late), webhook.Refused, 401, "its clock")
	want(t, send.Send(t.Context(), endpoint(strings.TrimSuffix(s.URL(), "events")), event()), webhook.Refused, 404, "check its url")
	got := s.Events()
	if len(got) != 2 || got[0].ID != publishedID || string(got[1].Body) != publishedBody {
		t.Errorf("took %v, want the event twice", got)
	}
}

func TestTheSinkDoesWhatItsScriptSays(t *testing.T) {
	for name, row := range map[string]struct {
		answer webhook.Answer
		result webhook.Result
		code   int
		after  time.Duration
		taken  int
	}{
		"it is busy":                              {webhook.Answer{Code: 429, RetryAfter: 7 * time.Second}, webhook.TryLater, 429, 7 * time.Second, 0},
		"it is broken":                            {webhook.Answer{Code: 500}, webhook.TryLater, 500, 0, 0},
		"it wants no more":                        {webhook.Answer{Code: 410}, webhook.Gone, 410, 0, 0},
		"the line drops before it takes it":       {webhook.Answer{Drop: true}, webhook.TryLater, 0, 0, 0},
		"the line drops after it has taken it":    {webhook.Answer{Drop: true, Take: true}, webhook.TryLater, 0, 0, 1},
		"it takes its time":                       {webhook.Answer{Delay: time.Millisecond}, webhook.Sent, 204, 0, 1},
		"it takes longer than anybody would wait": {webhook.Answer{Delay: time.Hour}, webhook.TryLater, 0, 0, 0},
	} {
		t.Run(name, func(t *testing.T) {
			s := sink(t, webhook.SinkOptions{Script: func(d webhook.Delivery) webhook.Answer {
				if d.ID != publishedID || d.Count != 1 {
					t.Errorf("the script is asked about %v", d)
				}
				return row.answer
			}})
			e := endpoint(s.URL())
			if row.answer.Delay == time.Hour {
				e.Timeout = 50 * time.Millisecond
			}
			out := webhook.New(webhook.Options{}).Send(t.Context(), e, event())
			want(t, out, row.result, row.code, "")
			if out.RetryAfter != row.after || len(s.Events()) != row.taken {
				t.Errorf("retry after %v, took %d; want %v and %d", out.RetryAfter, len(s.Events()), row.after, row.taken)
			}
		})
	}
}

func TestTheSinkHandsEventsOver(t *testing.T) {
	got := make(chan webhook.Received, 1)
	full := false
	s := sink(t, webhook.SinkOptions{Take: func(id string, body []byte) error {
		if full {
			return errors.New("the folder is full")
		}
		got <- webhook.Received{ID: id, Body: body}
		return nil
	}})
	send := webhook.New(webhook.Options{})
	want(t, send.Send(t.Context(), endpoint(s.URL()), event()), webhook.Sent, 204, "")
	if r := <-got; r.ID != publishedID || string(r.Body) != publishedBody {
		t.Errorf("handed over %v", r)
	}
	full = true
	want(t, send.Send(t.Context(), endpoint(s.URL()), event()), webhook.TryLater, 503, "")
}

func TestTheSinkSaysWhyItDoesNotStart(t *testing.T) {
	running := sink(t, webhook.SinkOptions{})
	for name, row := range map[string]struct {
		o    webhook.SinkOptions
		says string
	}{
		"not on loopback": {webhook.SinkOptions{Addr: "0.0.0.0:0", Secret: publishedSecret}, "loopback only"},
		"no secret":       {webhook.SinkOptions{}, "make a new one"},
		"a port in use": {webhook.SinkOptions{Addr: strings.TrimSuffix(strings.TrimPrefix(running.URL(), "http://"), "/events"), Secret: publishedSecret},
			"choose another port"},
	} {
		if _, err := webhook.ServeSink(t.Context(), row.o); err == nil || !strings.Contains(err.Error(), row.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestTheSinkEndsWithItsContext(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	s, err := webhook.ServeSink(ctx, webhook.SinkOptions{Secret: publishedSecret})
	if err != nil {
		t.Fatal(err)
	}
	stop()
	if err := s.Close(); err != nil {
		t.Error(err)
	}
	want(t, webhook.New(webhook.Options{}).Send(t.Context(), endpoint(s.URL()), event()), webhook.TryLater, 0, "check its address")
}
