package mail_test

import (
	"context"
	"fmt"
	"sync"
	"testing"
	"time"

	"budcall/internal/mail"
)

func TestAConnectionIsUsedAgainUpToItsNumberOfMails(t *testing.T) {
	relay := sink(t, mail.SinkOptions{})
	s := sender(t, mail.Options{Relay: plain(relay.Addr()), Pool: mail.Pool{Mails: 3}})
	for n := range 7 {
		want(t, s.Send(t.Context(), message(), nil), mail.Sent, mail.StageDot, 250, "queued")
		if got, wanted := relay.Connections(), n/3+1; got != wanted {
			t.Errorf("after %d mails %d connections, want %d", n+1, got, wanted)
		}
	}
}

func TestAConnectionIsDroppedAfterARefusal(t *testing.T) {
	relay := sink(t, mail.SinkOptions{Script: func(s mail.Step) mail.Answer {
		if s.Moment == mail.AtRcpt && s.To == "gone@site.example" {
			return mail.Answer{Code: 550, Text: "gone"}
		}
		return mail.Answer{}
	}})
	s := sender(t, mail.Options{Relay: plain(relay.Addr())})
	gone := message()
	gone.To = "gone@site.example"
	want(t, s.Send(t.Context(), message(), nil), mail.Sent, mail.StageDot, 250, "")
	want(t, s.Send(t.Context(), gone, nil), mail.Refused, mail.StageRcpt, 550, "gone")
	want(t, s.Send(t.Context(), message(), nil), mail.Sent, mail.StageDot, 250, "")
	if got := relay.Connections(); got != 2 {
		t.Errorf("%d connections, want 2: the refusal ends the first", got)
	}
}

func TestAnIdleConnectionSaysGoodbye(t *testing.T) {
	goodbye := make(chan string, 1)
	addr := scripted(t, func(p *peer) {
		p.upToData()
		p.body()
		p.say("250 ok")
		goodbye <- p.hear()
		p.say("221 bye")
	})
	s := sender(t, mail.Options{Relay: plain(addr), Pool: mail.Pool{Idle: time.Millisecond}})
	want(t, s.Send(t.Context(), message(), nil), mail.Sent, mail.StageDot, 250, "")
	if got := <-goodbye; got != "QUIT" {
		t.Errorf("the relay heard %q", got)
	}
}

func TestAKeptConnectionThatFailsBeforeTheBodyIsReplacedOnce(t *testing.T) {
	first := func(then func(*peer)) func(*peer) {
		return func(p *peer) { p.upToData(); p.body(); p.say("250 first"); then(p) }
	}
	works := func(p *peer) { p.upToData(); p.body(); p.say("250 second"); p.hear() }
	for name, row := range map[string]struct {
		then   func(*peer)
		next   func(*peer)
		result mail.Result
		stage  mail.Stage
		code   int
		says   string
	}{
		"it was closed without a word": {func(*peer) {}, works, mail.Sent, mail.StageDot, 250, "second"},
		"it was closed with a 421":     {func(p *peer) { p.hear(); p.say("421 idle too long") }, works, mail.Sent, mail.StageDot, 250, "second"},
		"it has had mails enough":      {func(p *peer) { p.hear(); p.say("550 too many mails"); p.hear() }, works, mail.Sent, mail.StageDot, 250, "second"},
		"it broke at the recipient":    {func(p *peer) { p.expect("MAIL", "250 ok"); p.hear() }, works, mail.Sent, mail.StageDot, 250, "second"},
		"the new one fails as well": {func(*peer) {}, func(p *peer) {
			p.say("220 scripted")
			p.expect("EHLO", "250 scripted")
			p.hear()
		}, mail.TryLater, mail.StageMail, 0, "broke at stage mail"},
		"a recipient refused is not asked about twice": {func(p *peer) { p.expect("MAIL", "250 ok"); p.expect("RCPT", "550 gone"); p.hear() },
			works, mail.Refused, mail.StageRcpt, 550, "gone"},
		"lost after the dot is never sent again": {func(p *peer) {
			p.expect("MAIL", "250 ok")
			p.expect("RCPT", "250 ok")
			p.expect("DATA", "354 go")
			p.body()
		}, works, mail.Unknown, mail.StageDot, 0, "not known"},
	} {
		t.Run(name, func(t *testing.T) {
			s := sender(t, mail.Options{Relay: plain(scripted(t, first(row.then), row.next))})
			want(t, s.Send(t.Context(), message(), nil), mail.Sent, mail.StageDot, 250, "first")
			dots := 0
			want(t, s.Send(t.Context(), message(), func(context.Context) error { dots++; return nil }), row.result, row.stage, row.code, row.says)
			if dots > 1 {
				t.Errorf("announced %d dots", dots)
			}
		})
	}
}

func TestManyAtOnceKeepToTheNumberOfConnections(t *testing.T) {
	relay := sink(t, mail.SinkOptions{})
	s := sender(t, mail.Options{Relay: plain(relay.Addr()), Pool: mail.Pool{Conns: 3, Mails: 1000}})
	var wait sync.WaitGroup
	for n := range 60 {
		wait.Go(func() {
			m := message()
			m.To = fmt.Sprintf("person%d@site.example", n)
			want(t, s.Send(t.Context(), m, nil), mail.Sent, mail.StageDot, 250, "queued")
		})
	}
	wait.Wait()
	seen := map[string]int{}
	for _, m := range relay.Mails() {
		seen[m.To]++
	}
	if len(seen) != 60 || len(relay.Mails()) != 60 {
		t.Errorf("%d people got %d mails, want 60 and 60", len(seen), len(relay.Mails()))
	}
	if n := relay.Connections(); n > 3 {
		t.Errorf("%d connections, want at most 3", n)
	}
}

func TestAClosedSenderPutsMailsOff(t *testing.T) {
	s := mail.New(mail.Options{Relay: plain(sink(t, mail.SinkOptions{}).Addr())})
	want(t, s.Send(t.Context(), message(), nil), mail.Sent, mail.StageDot, 250, "")
	s.Close()
	s.Close()
	want(t, s.Send(t.Context(), message(), nil), mail.TryLater, mail.StageDial, 0, "sending has been stopped")
}
