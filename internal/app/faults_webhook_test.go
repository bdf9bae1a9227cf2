package app_test

import (
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"budcall/internal/testpg"
	"budcall/internal/webhook"
)

// key32 is a webhook secret for tests only.
const key32 = "whsec_MDEyMzQ1Njc4OWFiY2RlZjAxMjM0NTY3ODlhYmNkZWY="

// hooked gives a programme with a webhook that answers as answer says.
func hooked(t *testing.T, box *letterbox, answer func(webhook.Delivery) webhook.Answer) (*programme, *webhook.Sink) {
	t.Helper()
	sink, err := webhook.ServeSink(t.Context(), webhook.SinkOptions{Secret: key32, Script: answer})
	if err != nil {
		t.Fatal(err)
	}
	p := newProgramme(t, relayAt(t, "", box, nil).Addr())
	p.more = "webhooks:\n  - {name: fieldbook, url: \"" + sink.URL() + "\", secret_files: [hook-key], allow: [127.0.0.0/8]}\n"
	p.file(t, "hook-key", key32+"\n")
	p.write(t)
	return p, sink
}

// What a webhook answers decides about its messages alone: mails go out
// whatever it says.
func TestWebhooksThatDontTake(t *testing.T) {
	t.Parallel()
	rows := []struct {
		name    string
		answer  webhook.Answer
		soon    string // how its messages stand after a first attempt
		trouble string // what the board says then; empty: nothing yet
	}{
		{"it says 410 Gone: refused, and the ops person is told to take it out", webhook.Answer{Code: http.StatusGone}, "refused", "fieldbook"},
		{"it says 401: refused, told with what to check", webhook.Answer{Code: http.StatusUnauthorized}, "refused", "the same secret"},
		{"it says 500: waits for another attempt", webhook.Answer{Code: http.StatusInternalServerError}, "waiting", ""},
		{"it says 429: waits as long as asked", webhook.Answer{Code: http.StatusTooManyRequests, RetryAfter: 2 * time.Hour}, "waiting", ""},
		{"it drops the connection: waits", webhook.Answer{Drop: true}, "waiting", ""},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			var ill atomic.Bool
			ill.Store(true)
			box, dsn := &letterbox{}, testpg.New(t)
			p, sink := hooked(t, box, func(webhook.Delivery) webhook.Answer {
				if ill.Load() {
					return row.answer
				}
				return webhook.Answer{}
			})
			a := open(t, p.dir, "2016-05-01", dsn)
			if err := a.StepTo(t.Context(), at("2016-05-01 04:05")); err != nil {
				t.Fatal(err)
			}
			if state := letters(t, dsn, "webhook"); !strings.HasPrefix(state, row.soon) || strings.Contains(state, ",") {
				t.Errorf("messages stand %q, not all %s", state, row.soon)
			}
			if state := letters(t, dsn, "mail"); !strings.HasPrefix(state, "sent") || strings.Contains(state, "waiting") {
				t.Errorf("mails stand %q", state)
			}
			if row.trouble == "" {
				silent(t, troubles(t, a), "fieldbook")
			} else {
				says(t, troubles(t, a), row.trouble)
			}
			if row.answer.RetryAfter > 0 {
				wait := ask(t, dsn, `select (min(next_try) >= max(settled)) ::text from letter, (select $1::timestamptz + interval '2 hours' as settled) s where channel = 'webhook'`, at("2016-05-01 00:00"))
				if wait != "true" {
					t.Error("it is asked again earlier than it wants")
				}
			}
			ill.Store(false)
			until(t, a, "2016-05-02")
			if row.soon == "waiting" {
				silent(t, letters(t, dsn, "webhook"), "waiting", "refused", "given up")
			}
			seen := map[string]bool{}
			for _, e := range sink.Events() {
				if seen[e.ID] {
					t.Errorf("%s came twice", e.ID)
				}
				seen[e.ID] = true
			}
			if len(seen) == 0 {
				t.Error("nothing came after it was well again")
			}
		})
	}
}

// A secret that is missing is our own fault: messages wait, the ops person is
// told the file, and once it is there they go out.
func TestAWebhookWithoutItsSecretWaits(t *testing.T) {
	t.Parallel()
	box, dsn := &letterbox{}, testpg.New(t)
	p, sink := hooked(t, box, nil)
	p.file(t, "hook-key", "\n")
	a := open(t, p.dir, "2016-05-01", dsn)
	if err := a.StepTo(t.Context(), at("2016-05-01 04:05")); err != nil {
		t.Fatal(err)
	}
	says(t, troubles(t, a), "hook-key", "empty")
	says(t, letters(t, dsn, "webhook"), "waiting")
	p.file(t, "hook-key", key32+"\n")
	until(t, a, "2016-05-01")
	silent(t, letters(t, dsn, "webhook"), "waiting")
	silent(t, troubles(t, a), "hook-key")
	if len(sink.Events()) == 0 {
		t.Error("nothing came after the secret was there")
	}
}
