package mail_test

import (
	"bufio"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"io"
	"math/big"
	"net"
	"strings"
	"testing"
	"time"

	"budcall/internal/mail"
)

// letter is a mail as notice would give it.
const letter = "From: Birch programme <calls@programme.example>\r\nTo: lead@site.example\r\nSubject: Bag on\r\n\r\nGo on Saturday.\r\n"

func message() mail.Message {
	return mail.Message{ID: "n-1", EnvelopeFrom: "bounce@programme.example", To: "lead@site.example", Bytes: []byte(letter)}
}

// plain is a relay in clear text, with times that a busy machine keeps.
func plain(addr string) mail.Relay {
	return mail.Relay{Addr: addr, TLS: mail.NoTLS, Hello: "budcall.example", Timeouts: mail.Timeouts{
		Dial: time.Minute, Command: time.Minute, Write: time.Minute, AfterDot: time.Minute,
	}}
}

func sender(t testing.TB, o mail.Options) *mail.Sender {
	t.Helper()
	s := mail.New(o)
	t.Cleanup(s.Close)
	return s
}

func sink(t testing.TB, o mail.SinkOptions) *mail.Sink {
	t.Helper()
	s, err := mail.ServeSink(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	return s
}

// peer is one connection to a relay that follows a script of the test.
type peer struct {
	net.Conn
	lines *bufio.Reader
	t     testing.TB
}

func newPeer(t testing.TB, c net.Conn) *peer { return &peer{Conn: c, lines: bufio.NewReader(c), t: t} }

// say writes a reply line; a client that has gone is the script's business.
func (p *peer) say(line string) { _, _ = io.WriteString(p, line+"\r\n") }

// hear reads a command line; empty when the client has gone.
func (p *peer) hear() string {
	line, _ := p.lines.ReadString('\n')
	return strings.TrimRight(line, "\r\n")
}

// expect reads a command, fails the test if it isn't as named, and replies.
func (p *peer) expect(command, reply string) {
	p.t.Helper()
	if got := p.hear(); !strings.HasPrefix(got, command) {
		p.t.Errorf("the client said %q, expected %s", got, command)
	}
	p.say(reply)
}

// upToData goes through a conversation to the 354.
func (p *peer) upToData() {
	p.say("220 scripted")
	p.expect("EHLO budcall.example", "250 scripted")
	p.expect("MAIL FROM:", "250 ok")
	p.expect("RCPT TO:", "250 ok")
	p.expect("DATA", "354 go")
}

// body reads to the final dot; false if the client went before it.
func (p *peer) body() bool {
	for {
		line, err := p.lines.ReadString('\n')
		if err != nil {
			return false
		}
		if line == ".\r\n" {
			return true
		}
	}
}

// scripted serves each connection by the next script, the last one for all
// that follow, and closes it at the script's end. It waits for the scripts
// when the test ends.
func scripted(t testing.TB, scripts ...func(*peer)) string {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan struct{})
	go func() {
		defer close(done)
		for n := 0; ; n++ {
			c, err := listener.Accept()
			if err != nil {
				return
			}
			scripts[min(n, len(scripts)-1)](newPeer(t, c))
			_ = c.Close()
		}
	}()
	t.Cleanup(func() { _ = listener.Close(); <-done })
	return listener.Addr().String()
}

// certificate makes a CA and a certificate of it for relay.example, valid
// until the given time.
func certificate(t testing.TB, until time.Time) (*x509.CertPool, tls.Certificate) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	ca := &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "test CA"}, IsCA: true, BasicConstraintsValid: true,
		NotBefore: until.Add(-48 * time.Hour), NotAfter: until.Add(24 * time.Hour), KeyUsage: x509.KeyUsageCertSign,
	}
	leaf := &x509.Certificate{
		SerialNumber: big.NewInt(2), Subject: pkix.Name{CommonName: "relay.example"}, DNSNames: []string{"relay.example"},
		NotBefore: until.Add(-24 * time.Hour), NotAfter: until, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
	}
	der, err := x509.CreateCertificate(rand.Reader, ca, ca, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	root, err := x509.ParseCertificate(der)
	if err != nil {
		t.Fatal(err)
	}
	pool := x509.NewCertPool()
	pool.AddCert(root)
	der, err = x509.CreateCertificate(rand.Reader, leaf, root, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	return pool, tls.Certificate{Certificate: [][]byte{der}, PrivateKey: key}
}

// want compares what came of an attempt; text is a part of what it must say.
func want(t testing.TB, out mail.Outcome, result mail.Result, stage mail.Stage, code int, text string) {
	t.Helper()
	if out.Result != result || out.Stage != stage || out.Code != code || !strings.Contains(out.Text, text) {
		t.Errorf("got %s at %s, code %d: %q\nwant %s at %s, code %d, saying %q", out.Result, out.Stage, out.Code, out.Text, result, stage, code, text)
	}
}
