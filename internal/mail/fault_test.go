package mail_test

import (
	"context"
	"errors"
	"io"
	"net"
	"strings"
	"testing"
	"time"

	"budcall/internal/mail"
)

func TestALostConnectionIsJudgedByTheDot(t *testing.T) {
	for name, row := range map[string]struct {
		script func(*peer)
		result mail.Result
		stage  mail.Stage
		code   int
		says   string
	}{
		"turned away at the greeting": {func(p *peer) { p.say("421 too busy") }, mail.TryLater, mail.StageGreeting, 421, "too busy"},
		"thrown out at the greeting":  {func(p *peer) { p.say("554 go away") }, mail.Misconfigured, mail.StageGreeting, 554, "ask whoever runs it"},
		"gone without a greeting":     {func(*peer) {}, mail.TryLater, mail.StageGreeting, 0, "broke at stage greeting"},
		"no SMTP server at all":       {func(p *peer) { p.say("HTTP/1.1 400 Bad Request") }, mail.TryLater, mail.StageGreeting, 0, "broke"},
		"a banner line of 2,001 bytes": {func(p *peer) { p.say("220 " + strings.Repeat("x", 2001)); p.hear() },
			mail.TryLater, mail.StageGreeting, 0, "too long a line"},
		"a banner without an end": {func(p *peer) {
			for {
				if _, err := io.WriteString(p, "220-"+strings.Repeat("x", 1000)+"\r\n"); err != nil {
					return
				}
			}
		}, mail.TryLater, mail.StageGreeting, 0, "without end"},
		"gone after RCPT": {func(p *peer) {
			p.say("220 scripted")
			p.expect("EHLO", "250 scripted")
			p.expect("MAIL", "250 ok")
			p.hear()
		}, mail.TryLater, mail.StageRcpt, 0, "broke at stage rcpt"},
		"gone at DATA": {func(p *peer) {
			p.say("220 scripted")
			p.expect("EHLO", "250 scripted")
			p.expect("MAIL", "250 ok")
			p.expect("RCPT", "250 ok")
			p.hear()
		}, mail.TryLater, mail.StageData, 0, "broke at stage data"},
		"no recipients left at DATA": {func(p *peer) {
			p.say("220 scripted")
			p.expect("EHLO", "250 scripted")
			p.expect("MAIL", "250 ok")
			p.expect("RCPT", "250 ok")
			p.expect("DATA", "554 no valid recipients")
			p.hear()
		}, mail.Refused, mail.StageData, 554, "no valid recipients"},
		"gone after the dot, before its answer": {func(p *peer) { p.upToData(); p.body() },
			mail.Unknown, mail.StageDot, 0, "not known"},
		"a senseless answer to the dot": {func(p *peer) { p.upToData(); p.body(); p.say("what?"); p.hear() },
			mail.Unknown, mail.StageDot, 0, "not known"},
		"an answer to the dot that asks for more": {func(p *peer) { p.upToData(); p.body(); p.say("354 go on"); p.hear() },
			mail.Unknown, mail.StageDot, 354, "354"},
		"gone after the 250":       {func(p *peer) { p.upToData(); p.body(); p.say("250 ok") }, mail.Sent, mail.StageDot, 250, "ok"},
		"another yes than 250":     {func(p *peer) { p.upToData(); p.body(); p.say("251 passed on as 77") }, mail.Sent, mail.StageDot, 251, "passed on"},
		"refused while it is read": {func(p *peer) { p.upToData(); p.say("552 too much"); p.body() }, mail.Refused, mail.StageDot, 552, "552"},
	} {
		t.Run(name, func(t *testing.T) {
			out := sender(t, mail.Options{Relay: plain(scripted(t, row.script))}).Send(t.Context(), message(), nil)
			want(t, out, row.result, row.stage, row.code, row.says)
		})
	}
}

func TestAnUnreachableRelaySaysWhatToDo(t *testing.T) {
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	addr := listener.Addr().String()
	_ = listener.Close()
	out := sender(t, mail.Options{Relay: plain(addr)}).Send(t.Context(), message(), nil)
	want(t, out, mail.TryLater, mail.StageDial, 0, "cannot reach the relay "+addr)
	want(t, out, mail.TryLater, mail.StageDial, 0, "check its host name and port")
}

func TestARelayThatStallsIsGivenUpAtTheDeadline(t *testing.T) {
	short := func(addr string) mail.Relay {
		r := plain(addr)
		r.Timeouts = mail.Timeouts{Dial: time.Second, Command: time.Second, Write: time.Second, AfterDot: time.Second}
		return r
	}
	released := make(chan struct{})
	t.Cleanup(func() { close(released) })
	for name, row := range map[string]struct {
		script func(*peer)
		tls    mail.TLS
		result mail.Result
		stage  mail.Stage
	}{
		"silent from the start":           {func(*peer) { <-released }, mail.NoTLS, mail.TryLater, mail.StageGreeting},
		"silent from the start, STARTTLS": {func(*peer) { <-released }, mail.StartTLS, mail.TryLater, mail.StageGreeting},
		"silent in the handshake":         {func(*peer) { <-released }, mail.ImplicitTLS, mail.TryLater, mail.StageStartTLS},
		"silent in the handshake, STARTTLS": {func(p *peer) {
			p.say("220 scripted")
			p.expect("EHLO", "250-scripted\r\n250 STARTTLS")
			p.expect("STARTTLS", "220 go")
			<-released
		}, mail.StartTLS, mail.TryLater, mail.StageStartTLS},
		"no longer reading the body": {func(p *peer) { p.upToData(); <-released }, mail.NoTLS, mail.TryLater, mail.StageData},
		"silent after the dot":       {func(p *peer) { p.upToData(); p.body(); <-released }, mail.NoTLS, mail.Unknown, mail.StageDot},
	} {
		t.Run(name, func(t *testing.T) {
			m := message()
			if row.stage == mail.StageData {
				m.Bytes = []byte(strings.Repeat("Every tree needs two bags.\r\n", 1_000_000)) // more than the sockets' buffers hold
			}
			s := mail.New(mail.Options{Relay: func() mail.Relay {
				r := short(once(t, row.script))
				r.TLS = row.tls
				return r
			}()})
			begun := time.Now()
			out := s.Send(t.Context(), m, nil)
			want(t, out, row.result, row.stage, 0, "no answer in time")
			if took := time.Since(begun); took > time.Minute {
				t.Errorf("gave up only after %v", took)
			}
		})
	}
}

// once serves one connection by a script that may outlast the test.
func once(t *testing.T, script func(*peer)) string {
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = listener.Close() })
	go func() {
		c, err := listener.Accept()
		if err == nil {
			script(newPeer(t, c))
			_ = c.Close()
		}
	}()
	return listener.Addr().String()
}

func TestTheContextEndsASendAtOnce(t *testing.T) {
	why := errors.New("the program is being stopped")
	for name, row := range map[string]struct {
		script func(p *peer, stop context.CancelCauseFunc, dialed chan struct{})
		result mail.Result
		stage  mail.Stage
	}{
		"while the greeting is awaited": {func(p *peer, stop context.CancelCauseFunc, dialed chan struct{}) { <-dialed; stop(why); p.hear() }, mail.TryLater, mail.StageGreeting},
		"in the conversation": {func(p *peer, stop context.CancelCauseFunc, dialed chan struct{}) {
			p.say("220 scripted")
			p.expect("EHLO", "250 scripted")
			p.hear()
			stop(why)
			p.hear()
		}, mail.TryLater, mail.StageMail},
		"after the dot": {func(p *peer, stop context.CancelCauseFunc, dialed chan struct{}) {
			p.upToData()
			p.body()
			stop(why)
			p.hear()
		}, mail.Unknown, mail.StageDot},
	} {
		t.Run(name, func(t *testing.T) {
			ctx, stop := context.WithCancelCause(t.Context())
			dialed := make(chan struct{}, 1)
			dial := func(ctx context.Context, network, addr string) (net.Conn, error) {
				c, err := (&net.Dialer{}).DialContext(ctx, network, addr)
				dialed <- struct{}{}
				return c, err
			}
			addr := scripted(t, func(p *peer) { row.script(p, stop, dialed) })
			out := sender(t, mail.Options{Relay: plain(addr), Dial: dial}).Send(ctx, message(), nil)
			want(t, out, row.result, row.stage, 0, why.Error())
		})
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	want(t, sender(t, mail.Options{Relay: plain("127.0.0.1:1")}).Send(ctx, message(), nil), mail.TryLater, mail.StageDial, 0, "stopped")
}

func TestNoDotIsWrittenWhenTheCallerSaysNo(t *testing.T) {
	whole := make(chan bool, 1)
	addr := scripted(t, func(p *peer) { p.upToData(); whole <- p.body() })
	out := sender(t, mail.Options{Relay: plain(addr)}).Send(t.Context(), message(), func(context.Context) error {
		return errors.New("the database is gone")
	})
	want(t, out, mail.TryLater, mail.StageData, 0, "the database is gone")
	if <-whole {
		t.Error("the relay got the final dot")
	}
}

func TestNoDotIsWrittenWhenTheContextEndsBeforeIt(t *testing.T) {
	whole := make(chan bool, 1)
	addr := scripted(t, func(p *peer) { p.upToData(); whole <- p.body() })
	ctx, stop := context.WithCancel(t.Context())
	out := sender(t, mail.Options{Relay: plain(addr)}).Send(ctx, message(), func(context.Context) error {
		stop()
		return ctx.Err()
	})
	want(t, out, mail.TryLater, mail.StageData, 0, "canceled")
	if <-whole {
		t.Error("the relay got the final dot")
	}
}

// short is a connection that fails in the write that would carry the dot,
// after a part of it or after all of it.
type short struct {
	net.Conn
	whole bool
}

func (c short) Write(b []byte) (int, error) {
	if !strings.HasSuffix(string(b), "\r\n.\r\n") {
		return c.Conn.Write(b)
	}
	if c.whole {
		n, _ := c.Conn.Write(b)
		return n, errors.New("reset")
	}
	n, _ := c.Conn.Write(b[:len(b)-1])
	return n, errors.New("reset")
}

func TestADotThatWasNotHandedOverWholeIsSurelyNotSent(t *testing.T) {
	for whole, result := range map[bool]mail.Result{false: mail.TryLater, true: mail.Unknown} {
		arrived := make(chan bool, 1)
		addr := scripted(t, func(p *peer) { p.upToData(); arrived <- p.body() })
		dial := func(ctx context.Context, network, addr string) (net.Conn, error) {
			c, err := (&net.Dialer{}).DialContext(ctx, network, addr)
			return short{c, whole}, err
		}
		out := sender(t, mail.Options{Relay: plain(addr), Dial: dial}).Send(t.Context(), message(), nil)
		want(t, out, result, mail.StageDot, 0, "reset")
		if got := <-arrived; got != whole {
			t.Errorf("the dot arrived: %v", got)
		}
	}
}
