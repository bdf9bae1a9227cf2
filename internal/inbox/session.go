package inbox

import (
	"bytes"
	"errors"
	"io"
	"slices"
	"sync"
	"time"

	"github.com/emersion/go-smtp"
)

// session is one conversation with a mail server. go-smtp may call Reset while
// a message that came in chunks is still being read, hence the lock.
type session struct {
	listener *Listener
	conn     *served

	mu   sync.Mutex
	from string
	to   []string
}

func (l *Listener) session(c *smtp.Conn) (smtp.Session, error) {
	conn, ok := c.Conn().(*served)
	if !ok {
		return nil, &smtp.SMTPError{Code: 421, EnhancedCode: smtp.EnhancedCode{4, 3, 0}, Message: "not a connection of this listener"}
	}
	return &session{listener: l, conn: conn}, nil
}

func (s *session) Mail(from string, _ *smtp.MailOptions) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.from = from
	return nil
}

func (s *session) Rcpt(to string, _ *smtp.RcptOptions) error {
	if !s.listener.options.Ours(to) {
		s.listener.keeper.count(Stranger)
		return &smtp.SMTPError{Code: 550, EnhancedCode: smtp.EnhancedCode{5, 1, 1}, Message: "no replies are taken under this address"}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.to = append(s.to, to)
	return nil
}

func (s *session) Reset() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.from, s.to = "", nil
}

func (s *session) Logout() error { return nil }

// Data reads a message and keeps it. All recipients get the one verdict, as
// there is one message; addresses that aren't ours had theirs before.
func (s *session) Data(r io.Reader) error {
	s.mu.Lock()
	a := Arrived{From: s.from, To: slices.Clone(s.to), Way: ByLMTP}
	s.mu.Unlock()
	l, answers := s.listener, len(a.To) // LMTP answers for each (RFC 2033 section 4.2)
	if l.options.SMTP {
		a.Way, answers = BySMTP, 1
	}
	s.conn.enter()
	defer s.conn.answer(answers)
	var buf bytes.Buffer
	if _, err := io.Copy(&buf, io.LimitReader(r, l.options.MaxBytes+1)); err != nil {
		return l.unread(err)
	}
	if int64(buf.Len()) > l.options.MaxBytes {
		return l.unread(smtp.ErrDataTooLarge)
	}
	a.Raw, a.Size, a.At = buf.Bytes(), int64(buf.Len()), time.Now().UTC()
	a.Key = KeyOf(a.Raw)
	if err := l.keeper.take(l.ctx, a); err != nil {
		l.options.Log.Error("a reply couldn't be stored and stays with the mail server: look at the database", "key", a.Key.Short(), "error", err)
		return &smtp.SMTPError{Code: 451, EnhancedCode: smtp.EnhancedCode{4, 3, 0}, Message: "it can't be stored now, come again later"}
	}
	return &smtp.SMTPError{Code: 250, EnhancedCode: smtp.EnhancedCode{2, 0, 0}, Message: "kept as " + a.Key.Short()}
}

// unread gives the answer for a message that wasn't read whole. go-smtp would
// make a permanent refusal of any other error, and the mail server would send
// the reply back to who wrote it.
func (l *Listener) unread(err error) error {
	switch {
	case errors.Is(err, smtp.ErrDataTooLarge):
		l.keeper.count(TooLarge)
		return &smtp.SMTPError{Code: 552, EnhancedCode: smtp.EnhancedCode{5, 3, 4}, Message: "the mail is too large, send it with a smaller photo"}
	case errors.Is(err, smtp.ErrTooLongLine):
		l.keeper.count(TooLarge)
		return &smtp.SMTPError{Code: 554, EnhancedCode: smtp.EnhancedCode{5, 6, 0}, Message: "a line of the mail is longer than 1 MiB"}
	}
	l.keeper.count(CutOff)
	return &smtp.SMTPError{Code: 451, EnhancedCode: smtp.EnhancedCode{4, 4, 2}, Message: "the mail didn't come whole, send it again"}
}
