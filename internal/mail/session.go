package mail

import (
	"context"
	"crypto/tls"
	"fmt"
	"os"
	"strings"
	"time"

	"github.com/emersion/go-sasl"
	"github.com/emersion/go-smtp"
)

// session is one connection to the relay, ready for a mail.
type session struct {
	conn   *timedConn
	client *smtp.Client
	mails  int // sent over it
}

// drop ends the connection at once. It may be called from another goroutine.
func (c *session) drop() { _ = c.conn.Conn.Close() }

// quit ends the connection as the protocol asks, and doesn't wait long for it.
func (c *session) quit() {
	c.client.CommandTimeout = 2 * time.Second
	_ = c.client.Quit() // nothing hangs on it: every mail has had its 250
	c.drop()
}

// open connects, encrypts and logs in. On an error the outcome says why and
// the connection is gone.
func (s *Sender) open(ctx context.Context) (*session, Outcome) {
	dialing, cancel := context.WithTimeout(ctx, s.relay.Timeouts.Dial)
	defer cancel()
	raw, err := s.dial(dialing, "tcp", s.relay.Addr)
	if err != nil {
		return nil, s.failed(ctx, StageDial, err, false)
	}
	conn := &timedConn{Conn: raw, limit: s.relay.Timeouts.Write}
	stop := context.AfterFunc(ctx, func() { _ = raw.Close() })
	defer stop()
	c := &session{conn: conn}
	stage, err := s.greet(c)
	if err == nil {
		stage, err = StageAuth, s.logIn(c)
	}
	if err != nil {
		c.drop()
		return nil, s.failed(ctx, stage, err, false)
	}
	return c, Outcome{}
}

// greet goes as far as the EHLO after which mails can be sent.
func (s *Sender) greet(c *session) (Stage, error) {
	switch s.relay.mode() {
	case StartTLS:
		c.conn.longest = s.relay.Timeouts.Command // until here the library allows five minutes
		client, err := smtp.NewClientStartTLS(c.conn, s.relay.tlsConfig())
		if err != nil {
			return s.noStartTLS(c, err)
		}
		c.conn.longest, c.client = 0, client
	case ImplicitTLS:
		encrypted := tls.Client(c.conn, s.relay.tlsConfig())
		_ = c.conn.SetDeadline(time.Now().Add(s.relay.Timeouts.Command))
		if err := encrypted.Handshake(); err != nil { // the context closes the connection under it
			return StageStartTLS, err
		}
		_ = c.conn.SetDeadline(time.Time{})
		c.client = smtp.NewClient(encrypted)
	default:
		c.client = smtp.NewClient(c.conn)
	}
	c.client.CommandTimeout, c.client.SubmissionTimeout = s.relay.Timeouts.Command, s.relay.Timeouts.AfterDot
	err := c.client.Hello(s.helloName())
	if state, encrypted := c.client.TLSConnectionState(); err != nil && encrypted && !state.HandshakeComplete {
		return StageStartTLS, err // after STARTTLS the handshake comes with the first command
	}
	return StageGreeting, err
}

func (s *Sender) noStartTLS(c *session, err error) (Stage, error) {
	if c.conn.startTLS {
		return StageStartTLS, err
	}
	if strings.Contains(err.Error(), "doesn't support STARTTLS") {
		return StageStartTLS, fault{Misconfigured, fmt.Sprintf(
			"the relay %s offers no STARTTLS: set tls to %s (usual port 465), or to %s if it runs on this machine", s.relay.Addr, ImplicitTLS, NoTLS)}
	}
	return StageGreeting, err
}

// logIn never lets a password out unencrypted, but to this machine itself.
func (s *Sender) logIn(c *session) error {
	if s.relay.User == "" {
		return nil
	}
	if _, encrypted := c.client.TLSConnectionState(); !encrypted && !isLoopback(c.conn.RemoteAddr()) {
		return fault{Misconfigured, fmt.Sprintf(
			"user and password aren't sent to %s in clear text: set tls to %s or %s, or leave user and password out", s.relay.Addr, StartTLS, ImplicitTLS)}
	}
	switch {
	case c.client.SupportsAuth(sasl.Plain):
		return c.client.Auth(sasl.NewPlainClient("", s.relay.User, s.relay.Password))
	case c.client.SupportsAuth(sasl.Login):
		return c.client.Auth(sasl.NewLoginClient(s.relay.User, s.relay.Password))
	}
	return fault{Misconfigured, fmt.Sprintf(
		"the relay %s takes no user and password (it offers neither %s nor %s): leave them out, or use the port meant for sending", s.relay.Addr, sasl.Plain, sasl.Login)}
}

func (s *Sender) helloName() string {
	if s.relay.Hello != "" {
		return s.relay.Hello
	}
	if name, err := os.Hostname(); err == nil && name != "" && !strings.ContainsAny(name, " \t\r\n") {
		return name
	}
	return "localhost"
}
