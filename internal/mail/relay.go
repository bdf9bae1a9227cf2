package mail

import (
	"crypto/tls"
	"crypto/x509"
	"fmt"
	"net"
	"net/netip"
	"strings"
	"time"
)

// TLS is how the conversation with a relay is encrypted.
type TLS string

// The ways; an unset one is StartTLS. There is no "if it can": a relay that
// doesn't offer what is set gets no mail.
const (
	StartTLS    TLS = "starttls" // begins in clear text, usual port 587 or 25
	ImplicitTLS TLS = "implicit" // from the first byte, usual port 465
	NoTLS       TLS = "none"     // clear text; user and password then go to loopback only
)

// Relay is where mails are handed over.
type Relay struct {
	Addr       string         // host:port
	TLS        TLS            // unset: StartTLS
	ServerName string         // in the relay's certificate; unset: the host of Addr
	Hello      string         // our own full name for EHLO; unset: the machine's name
	User       string         // unset: no AUTH
	Password   string         `json:"-"`
	RootCAs    *x509.CertPool // unset: the machine's
	Timeouts   Timeouts
}

// Timeouts bound each step; zero takes the default.
type Timeouts struct {
	Dial     time.Duration // to connect; 30 s
	Command  time.Duration // a command and its whole reply; 30 s
	Write    time.Duration // one write of a part of the body; 30 s
	AfterDot time.Duration // the reply to the final dot; 2 min: the shorter, the more mails of which nobody knows
}

func (t Timeouts) orDefaults() Timeouts {
	for _, d := range []struct {
		set   *time.Duration
		usual time.Duration
	}{
		{&t.Dial, 30 * time.Second}, {&t.Command, 30 * time.Second},
		{&t.Write, 30 * time.Second}, {&t.AfterDot, 2 * time.Minute},
	} {
		if *d.set <= 0 {
			*d.set = d.usual
		}
	}
	return t
}

// Check says what is wrong with the relay's settings, before anything is sent.
func (r Relay) Check() error {
	host, port, err := net.SplitHostPort(r.Addr)
	switch {
	case err != nil || host == "" || port == "":
		return fmt.Errorf("the relay's address %q isn't host:port: write for example relay.example.org:587", r.Addr)
	case r.mode() != StartTLS && r.mode() != ImplicitTLS && r.mode() != NoTLS:
		return fmt.Errorf("the relay's tls %q is none of %s, %s, %s: choose one", r.TLS, StartTLS, ImplicitTLS, NoTLS)
	case r.User == "" && r.Password != "":
		return fmt.Errorf("the relay %s has a password and no user: set the user as well, or neither", r.Addr)
	case r.User != "" && r.Password == "":
		return fmt.Errorf("the relay %s has a user and no password: name the file that holds the password, or leave the user out", r.Addr)
	case strings.ContainsAny(r.Hello, " \t\r\n"):
		return fmt.Errorf("the name to greet the relay with, %q, isn't a host name: write for example birch.example.org", r.Hello)
	}
	return nil
}

// String names the relay without its user and password.
func (r Relay) String() string { return fmt.Sprintf("%s (tls %s)", r.Addr, r.mode()) }

func (r Relay) mode() TLS {
	if r.TLS == "" {
		return StartTLS
	}
	return r.TLS
}

// tlsConfig always names the server: without a name go-smtp's handshake fails,
// and with a wrong one nobody would notice a stranger's relay.
func (r Relay) tlsConfig() *tls.Config {
	name := r.ServerName
	if name == "" {
		name, _, _ = net.SplitHostPort(r.Addr)
	}
	return &tls.Config{ServerName: name, MinVersion: tls.VersionTLS12, RootCAs: r.RootCAs}
}

// isLoopback tells whether the far end is this machine, by the address that
// was really connected to and not by its name.
func isLoopback(addr net.Addr) bool {
	ap, err := netip.ParseAddrPort(addr.String())
	return err == nil && ap.Addr().Unmap().IsLoopback()
}
