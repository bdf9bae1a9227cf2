package mail_test

import (
	"context"
	"errors"
	"net"
	"strings"
	"testing"
	"time"

	"budcall/internal/mail"
)

func TestAMailArrivesByteForByteAndIsNamed(t *testing.T) {
	long := strings.Repeat("x", 998)
	for name, body := range map[string]string{
		"plain lines":              "Go on Saturday.\r\n",
		"lines that begin by dots": ".\r\n..\r\n.two\r\n...\r\n",
		"a dot at the very start":  ".",
		"eight-bit letters":        "Björk, koivu, kask: \xc3\xa5\xff\r\n",
		"lines of 998 bytes":       long + "\r\n." + long[1:] + "\r\n",
		"no line end at the end":   "Go on Saturday.",
		"a body of many kilobytes": strings.Repeat("Every tree needs two bags.\r\n", 10_000),
	} {
		t.Run(name, func(t *testing.T) {
			relay := sink(t, mail.SinkOptions{})
			m := message()
			m.Bytes = []byte("Subject: x\r\n\r\n" + body)
			dots := 0
			out := sender(t, mail.Options{Relay: plain(relay.Addr())}).Send(t.Context(), m, func(context.Context) error { dots++; return nil })
			want(t, out, mail.Sent, mail.StageDot, 250, "queued")
			if out.RelayID != "sink-1" || dots != 1 {
				t.Errorf("relay's name %q, %d calls before the dot; want sink-1 and 1", out.RelayID, dots)
			}
			got := relay.Mails()
			if len(got) != 1 || got[0].From != m.EnvelopeFrom || got[0].To != m.To {
				t.Fatalf("the relay has %d mails: %v", len(got), got)
			}
			sent := string(m.Bytes)
			if !strings.HasSuffix(sent, "\r\n") {
				sent += "\r\n" // SMTP has no other way to end a mail
			}
			if string(got[0].Raw) != sent {
				t.Errorf("arrived changed: %.80q, sent %.80q", got[0].Raw, sent)
			}
		})
	}
}

func TestTheNullSenderIsAllowed(t *testing.T) {
	relay := sink(t, mail.SinkOptions{})
	m := message()
	m.EnvelopeFrom = ""
	want(t, sender(t, mail.Options{Relay: plain(relay.Addr())}).Send(t.Context(), m, nil), mail.Sent, mail.StageDot, 250, "")
}

// Codes and what they mean: RFC 5321 4.2.3 and RFC 4954 6; who they are about
// (recipient or settings) by the step is our own rule.
func TestARefusalIsJudgedByItsStepAndCode(t *testing.T) {
	for name, row := range map[string]struct {
		at     mail.Moment
		code   int
		text   string
		result mail.Result
		stage  mail.Stage
		says   string
	}{
		"an unknown recipient is refused for good":       {mail.AtRcpt, 550, "no such user", mail.Refused, mail.StageRcpt, "check the person's address"},
		"a full mailbox may have room later":             {mail.AtRcpt, 452, "mailbox full", mail.TryLater, mail.StageRcpt, "452"},
		"greylisting is tried again":                     {mail.AtRcpt, 450, "greylisted", mail.TryLater, mail.StageRcpt, "450"},
		"a relay that shuts down is tried again":         {mail.AtRcpt, 421, "bye", mail.TryLater, mail.StageRcpt, "421"},
		"a relay that wants a login stops all mails":     {mail.AtRcpt, 530, "authentication required", mail.Misconfigured, mail.StageRcpt, "user and the password file"},
		"the same already at MAIL":                       {mail.AtMail, 530, "authentication required", mail.Misconfigured, mail.StageMail, "user and the password file"},
		"a sender that isn't ours stops all mails":       {mail.AtMail, 550, "not your address", mail.Misconfigured, mail.StageMail, "sender address"},
		"a mail too large is its own trouble":            {mail.AtMail, 552, "too large", mail.Refused, mail.StageMail, "552"},
		"a relay short of space is tried again":          {mail.AtMail, 452, "no space", mail.TryLater, mail.StageMail, "452"},
		"contents refused after the dot stay refused":    {mail.AtDot, 554, "looks like spam", mail.Refused, mail.StageDot, "554"},
		"a relay in trouble after the dot hasn't taken":  {mail.AtDot, 451, "queue file", mail.TryLater, mail.StageDot, "451"},
		"a refusal of our greeting stops all mails":      {mail.AtHello, 504, "who are you", mail.Misconfigured, mail.StageGreeting, "name we greet it with"},
		"a relay too busy to greet is tried again":       {mail.AtHello, 421, "too busy", mail.TryLater, mail.StageGreeting, "421"},
		"lines that ask for TLS stop all mails":          {mail.AtMail, 538, "encryption required", mail.Misconfigured, mail.StageMail, "wants TLS"},
		"a body refused before the dot is still refused": {mail.AtBody, 554, "no", mail.Refused, mail.StageDot, "554"},
	} {
		t.Run(name, func(t *testing.T) {
			relay := sink(t, mail.SinkOptions{Script: func(s mail.Step) mail.Answer {
				if s.Moment == row.at {
					return mail.Answer{Code: row.code, Text: row.text}
				}
				return mail.Answer{}
			}})
			out := sender(t, mail.Options{Relay: plain(relay.Addr())}).Send(t.Context(), message(), nil)
			want(t, out, row.result, row.stage, row.code, row.says)
			if n := len(relay.Mails()); n != 0 {
				t.Errorf("the relay took %d mails", n)
			}
		})
	}
}

func TestARelayThatDoesNotPassOnIsASetting(t *testing.T) {
	addr := scripted(t, func(p *peer) {
		p.say("220 scripted")
		p.expect("EHLO", "250 scripted")
		p.expect("MAIL", "250 ok")
		p.expect("RCPT", "554 5.7.1 <lead@site.example>: Relay access denied")
		p.hear()
	})
	out := sender(t, mail.Options{Relay: plain(addr)}).Send(t.Context(), message(), nil)
	want(t, out, mail.Misconfigured, mail.StageRcpt, 554, "set a user and password")
}

func TestTheRelaysNameForAMailIsFound(t *testing.T) {
	for reply, id := range map[string]string{ // forms as known from the relays' logs; from memory
		"250 2.0.0 Ok: queued as 4XyZ9k1bQz":                     "4XyZ9k1bQz",
		"250 OK id=1rAbCd-0004xY-2Z":                             "1rAbCd-0004xY-2Z",
		"250 2.0.0 44A1bcDE012345 Message accepted for delivery": "44A1bcDE012345",
		"250 2.0.0 Ok": "2.0.0 Ok",
		"250-first line\r\n250 2.6.0 <a@b> [InternalId=7] Queued for it": "first line\n2.6.0 <a@b> [InternalId=7] Queued for it",
	} {
		addr := scripted(t, func(p *peer) { p.upToData(); p.body(); p.say(reply); p.hear() })
		out := sender(t, mail.Options{Relay: plain(addr)}).Send(t.Context(), message(), nil)
		want(t, out, mail.Sent, mail.StageDot, 250, "")
		if out.RelayID != id {
			t.Errorf("%q: name %q, want %q", reply, out.RelayID, id)
		}
	}
}

func TestWhatCannotBeSentNeverReachesTheRelay(t *testing.T) {
	for name, row := range map[string]struct {
		change func(*mail.Message, *mail.Relay)
		result mail.Result
		says   string
	}{
		"a recipient with a line end":  {func(m *mail.Message, _ *mail.Relay) { m.To = "a@b.example>\r\nDATA" }, mail.Refused, "isn't a mail address"},
		"no recipient":                 {func(m *mail.Message, _ *mail.Relay) { m.To = "" }, mail.Refused, "isn't a mail address"},
		"a recipient without a domain": {func(m *mail.Message, _ *mail.Relay) { m.To = "lead@" }, mail.Refused, "isn't a mail address"},
		"a sender with a space":        {func(m *mail.Message, _ *mail.Relay) { m.EnvelopeFrom = "a b@c.example" }, mail.Misconfigured, "sender address"},
		"a line of 999 bytes":          {func(m *mail.Message, _ *mail.Relay) { m.Bytes = []byte("S: x\r\n" + strings.Repeat("y", 999)) }, mail.Refused, "line 2 of the mail has 999 bytes"},
		"a CR alone":                   {func(m *mail.Message, _ *mail.Relay) { m.Bytes = []byte("S: x\r\n\r\na\r.\rb\r\n") }, mail.Refused, "line 3 of the mail holds a CR"},
		"an address without a port":    {func(_ *mail.Message, r *mail.Relay) { r.Addr = "relay.example" }, mail.Misconfigured, "isn't host:port"},
		"an unknown kind of TLS":       {func(_ *mail.Message, r *mail.Relay) { r.TLS = "ssl" }, mail.Misconfigured, "is none of starttls, implicit, none"},
		"a user without a password":    {func(_ *mail.Message, r *mail.Relay) { r.User = "birch" }, mail.Misconfigured, "no password"},
		"a password without a user":    {func(_ *mail.Message, r *mail.Relay) { r.Password = "secret-7" }, mail.Misconfigured, "no user"},
		"a greeting of two words":      {func(_ *mail.Message, r *mail.Relay) { r.Hello = "two words" }, mail.Misconfigured, "isn't a host name"},
	} {
		t.Run(name, func(t *testing.T) {
			m, r := message(), plain("127.0.0.1:1")
			row.change(&m, &r)
			dial := func(context.Context, string, string) (net.Conn, error) {
				t.Error("the relay was called")
				return nil, errors.New("no")
			}
			out := sender(t, mail.Options{Relay: r, Dial: dial}).Send(t.Context(), m, nil)
			want(t, out, row.result, mail.StageDial, 0, row.says)
			if strings.Contains(out.Text+r.String(), "secret-7") {
				t.Errorf("the password is told: %s", out.Text)
			}
		})
	}
}

func TestWhatTheRelaySaysItWontTakeIsNotSent(t *testing.T) {
	relay := sink(t, mail.SinkOptions{MaxBytes: 500})
	big, foreign := message(), message()
	big.Bytes = []byte(letter + strings.Repeat("x\r\n", 200))
	foreign.To = "björk@site.example"
	s := sender(t, mail.Options{Relay: plain(relay.Addr())})
	want(t, s.Send(t.Context(), big, nil), mail.Refused, mail.StageMail, 0, "takes at most 500")
	want(t, s.Send(t.Context(), foreign, nil), mail.Refused, mail.StageMail, 0, "another address")
}

func TestDelaysGrowToHalfAnHour(t *testing.T) {
	middle := []time.Duration{0, time.Minute, 5 * time.Minute, 15 * time.Minute, 30 * time.Minute, 30 * time.Minute, 30 * time.Minute}
	for failed, d := range middle { // the waits are our assumption, the spread too
		for jitter, factor := range map[float64]float64{0: 0.8, 0.5: 1, 1: 1.2, -3: 1, 7: 1} {
			wanted := time.Duration(float64(d) * factor)
			if got := mail.Delay(failed, jitter); got.Round(time.Microsecond) != wanted {
				t.Errorf("after %d failures with jitter %v: %v, want %v", failed, jitter, got, wanted)
			}
		}
	}
	if mail.Delay(-1, 0.5) != 0 || mail.Delay(1_000_000, 0.5) != 30*time.Minute {
		t.Error("a count out of range isn't handled")
	}
}
