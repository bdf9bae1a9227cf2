package app

import (
	"context"
	"fmt"
	"math/rand/v2"
	"sync"
	"time"

	"budcall/internal/config"
	"budcall/internal/deliver"
	"budcall/internal/mail"
	"budcall/internal/notice"
	"budcall/internal/webhook"
)

// carrier sends by SMTP and to webhooks.
type carrier struct {
	hooks     *webhook.Sender
	programme func() *config.Programme
	secrets   *secrets

	mu     sync.Mutex
	sender *mail.Sender // made when first needed, and anew after the configuration has changed
}

// relay gives the sender for the relay in force.
func (c *carrier) relay() (*mail.Sender, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.sender != nil {
		return c.sender, nil
	}
	m := c.programme().Mail
	password, err := c.secrets.one(m.PasswordFile)
	if err != nil {
		return nil, err
	}
	c.sender = mail.New(mail.Options{Relay: mail.Relay{
		Addr: m.Relay, TLS: mail.TLS(m.TLS), Hello: firstOf(m.Hello, hostname()), User: m.User, Password: password,
	}})
	return c.sender, nil
}

// renew lets the next mail go by the relay that is configured then.
func (c *carrier) renew() {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.sender != nil {
		c.sender.Close()
	}
	c.sender = nil
}

func (c *carrier) close() error {
	c.renew()
	return nil
}

// Mail hands a mail to the relay.
func (c *carrier) Mail(ctx context.Context, l notice.Letter, raw []byte, beforeDot func(context.Context) error) deliver.Result {
	sender, err := c.relay()
	if err != nil {
		return deliver.Result{Verdict: deliver.Broken, Error: err.Error()}
	}
	out := sender.Send(ctx, mail.Message{ID: l.ID, EnvelopeFrom: c.programme().Mail.EnvelopeFrom, To: l.To, Bytes: raw}, beforeDot)
	verdict := map[mail.Result]deliver.Verdict{
		mail.Sent: deliver.Sent, mail.TryLater: deliver.Later, mail.Refused: deliver.Refused,
		mail.Misconfigured: deliver.Broken, mail.Unknown: deliver.Unknown,
	}[out.Result]
	r := deliver.Result{Verdict: verdict, RelayID: out.RelayID}
	if verdict != deliver.Sent {
		r.Error = fmt.Sprintf("%s at %s (code %d)", out.Result, out.Stage, out.Code)
		if verdict == deliver.Broken {
			r.Error = out.Text // about our own set-up: no recipient in it
		}
	}
	return r
}

// Webhook sends a message to a webhook. There is no dot: a second arrival
// carries the same id.
func (c *carrier) Webhook(ctx context.Context, name, id string, body []byte, beforeDot func(context.Context) error) deliver.Result {
	hook, ok := find(c.programme().Webhooks, func(h config.Webhook) bool { return h.Name == name })
	if !ok {
		return deliver.Result{Verdict: deliver.Refused, Error: "no webhook of that name is configured any more"}
	}
	keys, err := c.secrets.all(hook.SecretFiles)
	if err != nil {
		return deliver.Result{Verdict: deliver.Broken, Error: err.Error()}
	}
	if err := beforeDot(ctx); err != nil {
		return deliver.Result{Verdict: deliver.Later, Error: "it could not be recorded that it is being sent"}
	}
	out := c.hooks.Send(ctx, webhook.Endpoint{Name: hook.Name, URL: hook.URL, Secrets: keys, Allow: hook.Allow},
		webhook.Event{ID: id, At: time.Now(), Body: body})
	verdict := map[webhook.Result]deliver.Verdict{
		webhook.Sent: deliver.Sent, webhook.TryLater: deliver.Later, webhook.Refused: deliver.Refused,
		webhook.Gone: deliver.Refused, webhook.Misconfigured: deliver.Broken,
	}[out.Result]
	r := deliver.Result{Verdict: verdict}
	if verdict != deliver.Sent {
		r.Error, r.Wait = out.Text, out.RetryAfter
	}
	return r
}

// Delay gives the wait before the next attempt.
func (c *carrier) Delay(ch notice.Channel, attempt int) time.Duration {
	if ch == notice.ByWebhook {
		return webhook.Delay(attempt, rand.Float64())
	}
	return mail.Delay(attempt, rand.Float64())
}
