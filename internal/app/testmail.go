package app

import (
	"context"
	"crypto/rand"
	"fmt"
	"strings"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/mail"
	"budcall/internal/notice"
)

// TestMail is how a test mail went.
type TestMail struct {
	Name, Address, Relay string
	Sent                 bool
	Outcome              mail.Outcome
}

// SendTestMail sends a mail that says it is a test to a person, at once, by
// the relay that the folder's configuration names. Nothing is stored.
func SendTestMail(ctx context.Context, dir, code string) (TestMail, error) {
	p, problems, err := Load(dir)
	if err != nil {
		return TestMail{}, err
	}
	if len(problems) > 0 {
		return TestMail{}, fmt.Errorf("the configuration has problems (budcall check %s lists them): %s", dir, strings.TrimSpace(Problems(dir, problems[:1])))
	}
	who, err := person(p, code)
	if err != nil {
		return TestMail{}, err
	}
	l := testLetter(p, who, time.Now())
	raw, err := notice.Mail(l)
	if err != nil {
		return TestMail{}, err
	}
	c := carrier{programme: func() *config.Programme { return p }, secrets: &secrets{dir: dir}}
	sender, err := c.relay()
	if err != nil {
		return TestMail{}, err
	}
	defer sender.Close()
	out := sender.Send(ctx, mail.Message{ID: l.ID, EnvelopeFrom: p.Mail.EnvelopeFrom, To: l.To, Bytes: raw}, nil)
	return TestMail{Name: who.Name, Address: who.Email, Relay: p.Mail.Relay, Sent: out.Result == mail.Sent, Outcome: out}, nil
}

func testLetter(p *config.Programme, who config.Person, now time.Time) notice.Letter {
	at := now.In(who.Zone)
	return notice.Letter{
		ID: now.UTC().Format("20060102T150405") + "-" + strings.ToLower(rand.Text()), Kind: notice.Test,
		Programme: p.Name, Domain: p.Mail.Domain, From: p.Mail.From, FromName: p.Mail.FromName,
		To: who.Email, ToName: who.Name, Lang: who.Lang, At: at, Today: civil.At(at),
	}
}
