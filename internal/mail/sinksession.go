package mail

import (
	"crypto/subtle"
	"crypto/tls"
	"fmt"
	"io"
	"net"
	"time"

	"github.com/emersion/go-sasl"
	"github.com/emersion/go-smtp"
)

// Moment is a point of the conversation at which a script may interfere.
type Moment string

// The moments in their order.
const (
	AtHello  Moment = "hello" // EHLO was said
	AtMail   Moment = "mail"  // MAIL FROM
	AtRcpt   Moment = "rcpt"  // RCPT TO
	AtBody   Moment = "body"  // DATA: the body is about to be read
	AtDot    Moment = "dot"   // the mail is here whole, and not yet taken
	AfterDot Moment = "taken" // it is taken, the 250 is about to be written
	After250 Moment = "said"  // the 250 will be the last thing written
)

// Step is what a script is asked about.
type Step struct {
	Moment   Moment
	From, To string // as far as known; To is the last recipient named
	Conn     int    // number of the EHLO on this sink, from 1
}

// Answer is what a script wants; the zero value lets things take their course.
// At After250 only Drop counts, and the drop comes right after the 250.
type Answer struct {
	Code  int           // replies with this 4xx or 5xx instead
	Text  string        // of the reply
	Delay time.Duration // waits first; a sink that is closed meanwhile drops the connection
	Drop  bool          // ends the connection instead of replying
}

// sinkSession is one conversation.
type sinkSession struct {
	sink     *Sink
	conn     *smtp.Conn
	serial   int
	from, to string
	known    bool // logged in, or no login is asked for
}

func (s *Sink) session(c *smtp.Conn) (smtp.Session, error) {
	s.mu.Lock()
	s.conns++
	serial := s.conns
	s.mu.Unlock()
	session := &sinkSession{sink: s, conn: c, serial: serial, known: s.options.User == ""}
	if err := session.ask(AtHello); err != nil {
		return nil, err
	}
	return session, nil
}

// ask lets the script have its way.
func (s *sinkSession) ask(at Moment) error {
	answer := s.sink.options.Script(Step{Moment: at, From: s.from, To: s.to, Conn: s.serial})
	if answer.Delay > 0 {
		timer := time.NewTimer(answer.Delay)
		defer timer.Stop()
		select {
		case <-timer.C:
		case <-s.sink.stopped:
			answer = Answer{Drop: true} // the moment has passed with the sink
		}
	}
	switch {
	case answer.Drop && at == After250:
		s.wire().last = true
	case answer.Drop:
		_ = s.conn.Conn().Close()
		return &smtp.SMTPError{Code: 421, Message: "dropped"} // goes nowhere
	case answer.Code != 0 && at != After250:
		return &smtp.SMTPError{Code: answer.Code, Message: answer.Text}
	}
	return nil
}

// wire is the connection below the encryption.
func (s *sinkSession) wire() *sinkConn {
	conn := s.conn.Conn()
	if encrypted, ok := conn.(*tls.Conn); ok {
		conn = encrypted.NetConn()
	}
	return conn.(*sinkConn)
}

func (s *sinkSession) AuthMechanisms() []string {
	if s.sink.options.User == "" {
		return nil
	}
	return []string{sasl.Plain}
}

func (s *sinkSession) Auth(string) (sasl.Server, error) {
	return sasl.NewPlainServer(func(_, user, password string) error {
		want := s.sink.options
		if subtle.ConstantTimeCompare([]byte(user+"\x00"+password), []byte(want.User+"\x00"+want.Password)) != 1 {
			return smtp.ErrAuthFailed
		}
		s.known = true
		return nil
	}), nil
}

func (s *sinkSession) Mail(from string, _ *smtp.MailOptions) error {
	if !s.known {
		return &smtp.SMTPError{Code: 530, EnhancedCode: smtp.EnhancedCode{5, 7, 0}, Message: "log in first"}
	}
	s.from = from
	return s.ask(AtMail)
}

func (s *sinkSession) Rcpt(to string, _ *smtp.RcptOptions) error {
	s.to = to
	return s.ask(AtRcpt)
}

func (s *sinkSession) Data(r io.Reader) error {
	if err := s.ask(AtBody); err != nil {
		return err
	}
	raw, err := io.ReadAll(r)
	if err != nil {
		return err
	}
	if err := s.ask(AtDot); err != nil {
		return err
	}
	serial, err := s.sink.take(Taken{From: s.from, To: s.to, Raw: raw})
	if err != nil {
		return &smtp.SMTPError{Code: s.sink.options.ErrorCode, Message: err.Error()}
	}
	if err := s.ask(AfterDot); err != nil {
		return err
	}
	_ = s.ask(After250)
	return &smtp.SMTPError{Code: 250, EnhancedCode: smtp.EnhancedCode{2, 0, 0}, Message: fmt.Sprintf("OK: queued as sink-%d", serial)}
}

func (s *sinkSession) Reset() { s.from, s.to = "", "" }

func (s *sinkSession) Logout() error { return nil }

// sinkListener wraps each connection so that it can be ended after a reply.
type sinkListener struct{ net.Listener }

func (l sinkListener) Accept() (net.Conn, error) {
	c, err := l.Listener.Accept()
	if err != nil {
		return nil, err
	}
	return &sinkConn{Conn: c}, nil
}

type sinkConn struct {
	net.Conn
	last bool // the next write is the last
}

func (c *sinkConn) Write(b []byte) (int, error) {
	n, err := c.Conn.Write(b)
	if c.last {
		_ = c.Conn.Close()
	}
	return n, err
}
