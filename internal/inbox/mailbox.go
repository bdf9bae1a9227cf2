package inbox

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"time"

	"github.com/emersion/go-imap/v2"
	"github.com/emersion/go-imap/v2/imapclient"
)

// mailbox is one logged-in connection with the mailbox selected.
type mailbox struct {
	client   *imapclient.Client
	conn     net.Conn
	validity uint32
	canMove  bool
	stop     func() bool
}

// openMailbox connects, logs in and selects. The connection ends with ctx.
func (p *Poller) openMailbox(ctx context.Context) (*mailbox, error) {
	o := p.options
	conn, err := o.Dial(ctx, "tcp", o.Addr)
	if err != nil {
		return nil, fmt.Errorf("calling the mailbox's server %s: %w: check its name, the port and the network", o.Addr, err)
	}
	conn = &silent{Conn: conn, limit: o.Silence}
	stop := context.AfterFunc(ctx, func() { _ = conn.Close() })
	m, err := p.enter(ctx, conn)
	if err != nil {
		stop()
		_ = conn.Close()
		return nil, err
	}
	m.conn, m.stop = conn, stop
	return m, nil
}

func (p *Poller) enter(ctx context.Context, conn net.Conn) (*mailbox, error) {
	o := p.options
	client, err := p.secure(ctx, conn)
	if err != nil {
		return nil, fmt.Errorf("securing the connection to %s (%s): %w: check the certificate, the port and whether tls or starttls is right", o.Addr, o.Security, err)
	}
	if err := client.WaitGreeting(); err != nil {
		return nil, fmt.Errorf("waiting for %s to greet: %w: check whether it is an IMAP server", o.Addr, err)
	}
	if err := client.Login(o.User, o.Password).Wait(); err != nil {
		return nil, fmt.Errorf("logging in at %s: %w: check user and password", o.Addr, answered(err))
	}
	data, err := client.Select(o.Mailbox, &imap.SelectOptions{ReadOnly: o.After == Leave}).Wait()
	if err != nil {
		return nil, fmt.Errorf("opening the mailbox %q at %s: %w: check its name", o.Mailbox, o.Addr, answered(err))
	}
	return &mailbox{client: client, validity: data.UIDValidity, canMove: client.Caps().Has(imap.CapMove)}, nil
}

func (p *Poller) secure(ctx context.Context, conn net.Conn) (*imapclient.Client, error) {
	o := p.options
	if o.Security == NoTLS {
		return imapclient.New(conn, nil), nil
	}
	trust := &tls.Config{}
	if o.Trust != nil {
		trust = o.Trust.Clone()
	}
	if trust.ServerName == "" {
		host, _, _ := net.SplitHostPort(o.Addr) // checked by Check
		trust.ServerName = host
	}
	trust.MinVersion = max(trust.MinVersion, tls.VersionTLS12)
	if o.Security == StartTLS {
		return imapclient.NewStartTLS(conn, &imapclient.Options{TLSConfig: trust})
	}
	trust.NextProtos = []string{"imap"}
	encrypted := tls.Client(conn, trust)
	if err := encrypted.HandshakeContext(ctx); err != nil {
		return nil, err
	}
	return imapclient.New(encrypted, nil), nil
}

// close says goodbye; what was read is safe whether or not that succeeds.
func (m *mailbox) close() {
	_ = m.client.Logout().Wait()
	m.stop()
	_ = m.client.Close()
}

// answered gives the server's own words without the client's wrapping.
func answered(err error) error {
	var said *imap.Error
	if errors.As(err, &said) {
		return fmt.Errorf("the server says %s %q", said.Type, said.Text)
	}
	return err
}

// silent gives each read and write a deadline. The client sets none while it
// waits for the first byte of an answer, and would wait for good.
type silent struct {
	net.Conn
	limit time.Duration
}

func (c *silent) Read(b []byte) (int, error) {
	if err := c.Conn.SetReadDeadline(time.Now().Add(c.limit)); err != nil {
		return 0, err
	}
	return c.Conn.Read(b)
}

func (c *silent) Write(b []byte) (int, error) {
	if err := c.Conn.SetWriteDeadline(time.Now().Add(c.limit)); err != nil {
		return 0, err
	}
	return c.Conn.Write(b)
}

// SetDeadline, SetReadDeadline and SetWriteDeadline leave the deadlines as
// they are: reads and writes set their own.
func (c *silent) SetDeadline(time.Time) error      { return nil }
func (c *silent) SetReadDeadline(time.Time) error  { return nil }
func (c *silent) SetWriteDeadline(time.Time) error { return nil }
