package app

import (
	"cmp"
	"context"
	"fmt"
	"math/rand/v2"
	"net/http"
	"strconv"
	"strings"
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
	mails     func(ctx context.Context, arrived int64) (raw []byte, kept bool, err error) // that came in

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
		Addr: m.Relay, TLS: mail.TLS(m.TLS), Hello: cmp.Or(m.Hello, hostname()), User: m.User, Password: password,
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
	if raw, err = c.withMail(ctx, l, raw); err != nil {
		return deliver.Result{Verdict: deliver.Later, Error: err.Error()}
	}
	out := sender.Send(ctx, mail.Message{ID: l.ID, EnvelopeFrom: c.programme().Mail.EnvelopeFrom, To: l.To, Bytes: raw}, beforeDot)
	verdict := map[mail.Result]deliver.Verdict{
		mail.Sent: deliver.Sent, mail.TryLater: deliver.Later, mail.Refused: deliver.Refused,
		mail.Misconfigured: deliver.Broken, mail.Unknown: deliver.Unknown,
	}[out.Result]
	r := deliver.Result{Verdict: verdict, RelayID: out.RelayID}
	if verdict != deliver.Sent {
		r.Error = unaddressed(out, l.To)
	}
	if verdict == deliver.Broken {
		c.readAgain()
	}
	return r
}

// readAgain lets the next message go with secrets read anew: what is wrong may
// be mended in a secret's file, which is no change of the configuration.
func (c *carrier) readAgain() {
	c.secrets.forget()
	c.renew()
}

// unaddressed says why a mail wasn't taken, without the recipient's address:
// from RCPT on, a relay likes to repeat it, so its words are left out there.
func unaddressed(out mail.Outcome, to string) string {
	what, heard := map[mail.Stage]string{
		mail.StageRcpt: "recipient's address", mail.StageData: "mail", mail.StageDot: "mail",
	}[out.Stage]
	if !heard || out.Code == 0 {
		return strings.ReplaceAll(out.Text, strconv.Quote(to), "given")
	}
	said := fmt.Sprintf("the relay answered %d to the %s", out.Code, what)
	if i := strings.LastIndex(out.Text, "; "); i >= 0 && (out.Result == mail.Refused || out.Result == mail.Misconfigured) { // what to do, in our own words
		said += out.Text[i:]
	}
	return said
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
	if verdict == deliver.Broken || out.Code == http.StatusUnauthorized || out.Code == http.StatusForbidden {
		c.secrets.forget()
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
