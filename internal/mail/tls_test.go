package mail_test

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"net"
	"strings"
	"testing"
	"time"

	"budcall/internal/mail"
)

func TestTheRelaysCertificateIsChecked(t *testing.T) {
	now := time.Now()
	roots, good := certificate(t, now.Add(time.Hour))
	expiredRoots, expired := certificate(t, now.Add(-time.Hour))
	others, _ := certificate(t, now.Add(time.Hour))
	for name, row := range map[string]struct {
		cert   tls.Certificate
		roots  *x509.CertPool
		server string
		result mail.Result
		says   string
	}{
		"signed by the CA that was set": {good, roots, "relay.example", mail.Sent, "queued"},
		"signed by another CA":          {good, others, "relay.example", mail.Misconfigured, "isn't accepted"},
		"made for another name":         {good, roots, "other.example", mail.Misconfigured, "isn't accepted"},
		"no name set: that of the host": {good, roots, "", mail.Misconfigured, "127.0.0.1"},
		"past its time":                 {expired, expiredRoots, "relay.example", mail.Misconfigured, "have it renewed"},
	} {
		for _, mode := range []mail.TLS{mail.StartTLS, mail.ImplicitTLS} {
			t.Run(name+", "+string(mode), func(t *testing.T) {
				config := &tls.Config{Certificates: []tls.Certificate{row.cert}}
				var addr string
				if mode == mail.StartTLS {
					addr = sink(t, mail.SinkOptions{TLS: config}).Addr()
				} else {
					addr = encrypted(t, sink(t, mail.SinkOptions{}).Addr(), config)
				}
				r := plain(addr)
				r.TLS, r.RootCAs, r.ServerName = mode, row.roots, row.server
				out := sender(t, mail.Options{Relay: r}).Send(t.Context(), message(), nil)
				stage, code := mail.StageStartTLS, 0
				if row.result == mail.Sent {
					stage, code = mail.StageDot, 250
				}
				want(t, out, row.result, stage, code, row.says)
			})
		}
	}
}

// encrypted listens for TLS before a server in clear text.
func encrypted(t *testing.T, behind string, config *tls.Config) string {
	t.Helper()
	listener, err := tls.Listen("tcp", "127.0.0.1:0", config)
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan struct{})
	t.Cleanup(func() { _ = listener.Close(); <-done })
	go func() {
		defer close(done)
		for {
			front, err := listener.Accept()
			if err != nil {
				return
			}
			back, err := net.Dial("tcp", behind)
			if err != nil {
				t.Error(err)
				return
			}
			go pass(back, front)
			go pass(front, back)
		}
	}()
	return listener.Addr().String()
}

func pass(to, from net.Conn) {
	b := make([]byte, 4096)
	for {
		n, err := from.Read(b)
		if _, werr := to.Write(b[:n]); err != nil || werr != nil {
			_ = to.Close()
			return
		}
	}
}

func TestARelayWithoutSTARTTLSGetsNoMail(t *testing.T) {
	relay := sink(t, mail.SinkOptions{})
	r := plain(relay.Addr())
	r.TLS = "" // the default
	out := sender(t, mail.Options{Relay: r}).Send(t.Context(), message(), nil)
	want(t, out, mail.Misconfigured, mail.StageStartTLS, 0, "set tls to implicit")
	if n := len(relay.Mails()); n != 0 {
		t.Errorf("the relay took %d mails in clear text", n)
	}
}

func TestARelayThatCannotStartTLSNowIsTriedLater(t *testing.T) {
	addr := scripted(t, func(p *peer) {
		p.say("220 scripted")
		p.expect("EHLO", "250-scripted\r\n250 STARTTLS")
		p.expect("STARTTLS", "454 TLS not available due to temporary reason")
		p.hear()
	})
	r := plain(addr)
	r.TLS = mail.StartTLS
	want(t, sender(t, mail.Options{Relay: r}).Send(t.Context(), message(), nil), mail.TryLater, mail.StageStartTLS, 454, "454")
}

func TestWordsSlippedInBeforeTheHandshakeAreNotBelieved(t *testing.T) {
	roots, cert := certificate(t, time.Now().Add(time.Hour))
	heard := make(chan string, 1)
	addr := scripted(t, func(p *peer) {
		p.say("220 scripted")
		p.expect("EHLO", "250-scripted\r\n250 STARTTLS")
		p.expect("STARTTLS", "220 go\r\n250-slipped in\r\n250 SIZE 1")
		secure := newPeer(t, tls.Server(p.Conn, &tls.Config{Certificates: []tls.Certificate{cert}}))
		heard <- secure.hear()
		secure.say("250 scripted")
		secure.expect("MAIL", "250 ok")
		secure.expect("RCPT", "250 ok")
		secure.expect("DATA", "354 go")
		secure.body()
		secure.say("250 ok")
		secure.hear()
	})
	r := plain(addr)
	r.TLS, r.RootCAs, r.ServerName = mail.StartTLS, roots, "relay.example"
	want(t, sender(t, mail.Options{Relay: r}).Send(t.Context(), message(), nil), mail.Sent, mail.StageDot, 250, "ok")
	if got := <-heard; got != "EHLO budcall.example" {
		t.Errorf("the first encrypted command was %q, want EHLO with our own name", got)
	}
}

// far is a connection that looks as if it went to another machine.
type far struct{ net.Conn }

func (far) RemoteAddr() net.Addr { return &net.TCPAddr{IP: net.IPv4(192, 0, 2, 7), Port: 25} }

func TestUserAndPasswordGoOutEncryptedOrToThisMachineOnly(t *testing.T) {
	roots, cert := certificate(t, time.Now().Add(time.Hour))
	dialFar := func(ctx context.Context, network, addr string) (net.Conn, error) {
		c, err := (&net.Dialer{}).DialContext(ctx, network, addr)
		if err != nil {
			return nil, err
		}
		return far{c}, nil
	}
	for name, row := range map[string]struct {
		tls      mail.TLS
		password string
		dial     func(context.Context, string, string) (net.Conn, error)
		result   mail.Result
		stage    mail.Stage
		code     int
		says     string
	}{
		"in clear text to this machine":            {mail.NoTLS, "right", nil, mail.Sent, mail.StageDot, 250, "queued"},
		"in clear text to another machine":         {mail.NoTLS, "right", dialFar, mail.Misconfigured, mail.StageAuth, 0, "aren't sent to"},
		"encrypted to another machine":             {mail.StartTLS, "right", dialFar, mail.Sent, mail.StageDot, 250, "queued"},
		"a wrong password stops all mails":         {mail.NoTLS, "wrong", nil, mail.Misconfigured, mail.StageAuth, 535, "check the user and the password file"},
		"no login where one is wanted stops them ": {mail.NoTLS, "", nil, mail.Misconfigured, mail.StageMail, 530, "check the user and the password file"},
	} {
		t.Run(name, func(t *testing.T) {
			relay := sink(t, mail.SinkOptions{User: "birch", Password: "right", TLS: &tls.Config{Certificates: []tls.Certificate{cert}}})
			r := plain(relay.Addr())
			r.TLS, r.RootCAs, r.ServerName = row.tls, roots, "relay.example"
			if row.password != "" {
				r.User, r.Password = "birch", row.password
			}
			out := sender(t, mail.Options{Relay: r, Dial: row.dial}).Send(t.Context(), message(), nil)
			want(t, out, row.result, row.stage, row.code, row.says)
			if strings.Contains(out.Text, "right") || strings.Contains(out.Text, "wrong") {
				t.Errorf("the password is told: %s", out.Text)
			}
		})
	}
}

func TestTheOlderLoginIsSpokenWhereItIsTheOnlyOne(t *testing.T) {
	addr := scripted(t, func(p *peer) {
		p.say("220 scripted")
		p.expect("EHLO", "250-scripted\r\n250 AUTH LOGIN")
		p.expect("AUTH LOGIN YmlyY2g=", "334 UGFzc3dvcmQ6") // base64 of birch; Password:
		p.expect("bGVhZg==", "454 later")                   // base64 of leaf
		p.hear()
	})
	r := plain(addr)
	r.User, r.Password = "birch", "leaf"
	out := sender(t, mail.Options{Relay: r}).Send(t.Context(), message(), nil)
	want(t, out, mail.TryLater, mail.StageAuth, 454, "454")
}

func TestARelayWithoutLoginIsASetting(t *testing.T) {
	r := plain(sink(t, mail.SinkOptions{}).Addr())
	r.User, r.Password = "birch", "leaf"
	out := sender(t, mail.Options{Relay: r}).Send(t.Context(), message(), nil)
	want(t, out, mail.Misconfigured, mail.StageAuth, 0, "takes no user and password")
}
