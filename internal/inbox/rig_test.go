package inbox_test

import (
	"context"
	"io"
	"net"
	"testing"

	"github.com/emersion/go-smtp"

	"budcall/internal/inbox"
)

// letter is a mail handed to an SMTP or LMTP server.
type letter struct {
	network string // unset: tcp
	addr    string
	lmtp    bool
	from    string // unset: aino@kolari.example
	null    bool   // the null sender of bounces
	to      []string
	body    string
}

// hand gives a mail to a server, and its answer.
func hand(t *testing.T, l letter) error {
	t.Helper()
	if l.network == "" {
		l.network = "tcp"
	}
	if l.from == "" && !l.null {
		l.from = "aino@kolari.example"
	}
	conn, err := net.Dial(l.network, l.addr)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	c := smtp.NewClient(conn)
	if l.lmtp {
		c = smtp.NewClientLMTP(conn)
	}
	if err := c.Mail(l.from, nil); err != nil {
		return err
	}
	for _, to := range l.to {
		if err := c.Rcpt(to, nil); err != nil {
			return err
		}
	}
	w, err := c.Data()
	if err != nil {
		return err
	}
	if _, err := io.WriteString(w, l.body); err != nil {
		return err
	}
	return w.Close()
}

// ours is the address for replies.
var ours = []string{"calls@programme.example"}

func isOurs(to string) bool { return to == ours[0] }

func listen(t *testing.T, o inbox.ListenOptions) *inbox.Listener {
	t.Helper()
	if o.Addr == "" {
		o.Addr = "127.0.0.1:0"
	}
	l, err := inbox.Listen(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), patience)
		defer cancel()
		if err := l.Close(ctx); err != nil {
			t.Error(err)
		}
	})
	return l
}

const (
	boxUser     = "calls"
	boxPassword = "a-secret-of-the-test"
)

func poller(t *testing.T, o inbox.PollOptions) *inbox.Poller {
	t.Helper()
	o.User, o.Password = boxUser, boxPassword
	p, err := inbox.NewPoller(o)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func round(t *testing.T, p *inbox.Poller) {
	t.Helper()
	if err := p.Round(context.Background()); err != nil {
		t.Fatal(err)
	}
}
