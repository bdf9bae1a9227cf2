package inbox_test

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/emersion/go-smtp"

	"budcall/internal/inbox"
)

func code(err error) int {
	var said *smtp.SMTPError
	if errors.As(err, &said) {
		return said.Code
	}
	return 0
}

func TestAMailIsAnsweredByWhatBecameOfIt(t *testing.T) {
	for name, c := range map[string]struct {
		letter letter
		refuse error
		panics bool
		want   int // 0: taken
		event  inbox.Event
	}{
		"a mail that was kept is taken":                                     {letter: letter{body: mail("a", "T3 2+1")}, event: inbox.Kept},
		"a bounce, with the null sender, is taken":                          {letter: letter{null: true, body: mail("a", "T3 2+1")}, event: inbox.Kept},
		"while the memory fails the mail server keeps it":                   {letter: letter{body: mail("a", "T3 2+1")}, refuse: errors.New("away"), want: 451, event: inbox.NotKept},
		"a mail that makes the program stumble stays with the mail server":  {letter: letter{body: mail("a", "T3 2+1")}, panics: true, want: 451, event: inbox.NotKept},
		"a mail of exactly the limit is taken":                              {letter: letter{body: sized(10_000)}, event: inbox.Kept},
		"a mail of one byte more is refused for good":                       {letter: letter{body: sized(10_001)}, want: 552, event: inbox.TooLarge},
		"a mail ten times the limit is refused for good":                    {letter: letter{body: sized(100_000)}, want: 552, event: inbox.TooLarge},
		"an address that isn't ours is refused for good":                    {letter: letter{to: []string{"x@programme.example"}, body: mail("a", "b")}, want: 550, event: inbox.Stranger},
		"a line of 5,000 bytes, as some programs write HTML, is no trouble": {letter: letter{body: mail("a", strings.Repeat("x", 5000))}, event: inbox.Kept},
		"a line that starts with a dot, and one of a dot alone, come whole": {letter: letter{body: mail("a", ".T3 2+1\r\n.\r\nT4 off")}, event: inbox.Kept},
		"bytes that are no UTF-8 come as they are":                          {letter: letter{body: mail("a", "T3 2+1 \xff\xfe\x00 \xe4")}, event: inbox.Kept},
	} {
		for _, overSMTP := range []bool{false, true} {
			t.Run(fmt.Sprint(name, ", SMTP: ", overSMTP), func(t *testing.T) {
				t.Parallel()
				m := newMemory()
				m.refuse = func(inbox.Arrived) error {
					if c.panics {
						panic("a fault")
					}
					return c.refuse
				}
				l := listen(t, inbox.ListenOptions{SMTP: overSMTP, MaxBytes: 10_000, Keep: m.keep, Count: m.count, Ours: isOurs})
				mail := c.letter
				mail.addr, mail.lmtp = l.Addr(), !overSMTP
				if mail.to == nil {
					mail.to = ours
				}
				err := hand(t, mail)
				if got := code(err); got != c.want || err != nil && got == 0 {
					t.Fatalf("answered %v, want code %d", err, c.want)
				}
				if m.counted(c.event) != 1 {
					t.Errorf("events %v, want %q", m.events, c.event)
				}
				kept := m.kept()
				if (c.want == 0) != (len(kept) == 1) {
					t.Fatalf("%d mails kept", len(kept))
				}
				if len(kept) == 1 && string(kept[0].Raw) != mail.body {
					t.Errorf("kept\n%q\nof\n%q", kept[0].Raw, mail.body)
				}
			})
		}
	}
}

// sized is a mail of so many bytes.
func sized(n int) string {
	head := mail("sized", "")
	line := strings.Repeat("x", 98) + "\r\n"
	body := head + strings.Repeat(line, (n-len(head))/len(line))
	if rest := n - len(body); rest > 0 {
		body += strings.Repeat("y", max(0, rest-2)) + "\r\n"[:min(2, rest)]
	}
	return body[:n-2] + "\r\n"
}

// raw speaks to a listener line by line.
type raw struct {
	net.Conn
	lines *bufio.Reader
	t     *testing.T
}

func dial(t *testing.T, l *inbox.Listener) *raw {
	t.Helper()
	conn, err := net.Dial(l.Network(), l.Addr())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	_ = conn.SetDeadline(time.Now().Add(patience))
	return &raw{Conn: conn, lines: bufio.NewReader(conn), t: t}
}

// says sends lines and reads an answer of that code.
func (r *raw) says(want string, lines ...string) {
	r.t.Helper()
	for _, l := range lines {
		if _, err := r.Write([]byte(l + "\r\n")); err != nil {
			r.t.Fatal(err)
		}
	}
	for {
		line, err := r.lines.ReadString('\n')
		if err != nil {
			r.t.Fatalf("after %q: %v", lines, err)
		}
		if !strings.HasPrefix(line, want) {
			r.t.Fatalf("after %q: %q, want %s", lines, line, want)
		}
		if len(line) > 3 && line[3] == ' ' {
			return
		}
	}
}

func (r *raw) upToData() {
	r.t.Helper()
	r.says("220")
	r.says("250", "LHLO relay.programme.example")
	r.says("250", "MAIL FROM:<aino@kolari.example>")
	r.says("250", "RCPT TO:<calls@programme.example>")
	r.says("354", "DATA")
}

func TestAMailThatDidntComeWholeIsNotKept(t *testing.T) {
	for name, cut := range map[string]func(r *raw){
		"the connection is cut within the mail": func(r *raw) { r.Close() },
		"the mail server falls silent":          func(r *raw) { r.says("451") },
		"the mail comes in chunks and the last one is missing": func(r *raw) {
			r.says("250", ".")
			r.says("250", "MAIL FROM:<aino@kolari.example>")
			r.says("250", "RCPT TO:<calls@programme.example>")
			r.says("250", "BDAT 5", "T3 ")
			r.Close()
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m, gone := newMemory(), make(chan struct{}, 10)
			l := listen(t, inbox.ListenOptions{Keep: m.keep, Idle: 300 * time.Millisecond, Count: func(e inbox.Event) {
				m.count(e)
				if e == inbox.CutOff {
					gone <- struct{}{}
				}
			}})
			r := dial(t, l)
			r.upToData()
			if _, err := r.Write([]byte("Subject: half\r\n\r\nT3 2")); err != nil {
				t.Fatal(err)
			}
			chunks := strings.Contains(name, "chunks")
			if chunks {
				if _, err := r.Write([]byte("\r\n")); err != nil {
					t.Fatal(err)
				}
			}
			cut(r)
			select {
			case <-gone:
			case <-time.After(patience):
				t.Fatalf("nobody noticed in %s", patience)
			}
			want := 0
			if chunks { // the first came whole
				want = 1
			}
			if n := len(m.kept()); n != want {
				t.Errorf("%d mails kept, want %d", n, want)
			}
		})
	}
}

func TestAConnectionTooManyIsTurnedAwayAndLaterLetIn(t *testing.T) {
	m := newMemory()
	l := listen(t, inbox.ListenOptions{Keep: m.keep, Count: m.count, MaxConns: 2})
	first, second := dial(t, l), dial(t, l)
	first.says("220")
	second.says("220")
	dial(t, l).says("421")
	if n := m.counted(inbox.Busy); n != 1 {
		t.Errorf("%d turned away were counted, want 1", n)
	}
	first.says("221", "QUIT")
	if _, err := first.lines.ReadByte(); err == nil {
		t.Fatal("the connection goes on after QUIT")
	}
	dial(t, l).says("220")
}

func TestClosingLetsTheMailUnderWayBeKeptAndAnswered(t *testing.T) {
	m, within, goOn := newMemory(), make(chan struct{}), make(chan struct{})
	l, err := inbox.Listen(context.Background(), inbox.ListenOptions{Addr: "127.0.0.1:0", Keep: func(ctx context.Context, a inbox.Arrived) error {
		close(within)
		<-goOn
		return m.keep(ctx, a)
	}})
	if err != nil {
		t.Fatal(err)
	}
	idle := dial(t, l)
	idle.says("220")
	answered := make(chan error, 1)
	go func() { answered <- hand(t, letter{addr: l.Addr(), lmtp: true, to: ours, body: mail("a", "T3 2+1")}) }()
	<-within
	closed := make(chan error, 1)
	go func() { closed <- l.Close(context.Background()) }()
	if _, err := idle.lines.ReadByte(); err == nil {
		t.Error("an idle connection is kept open")
	}
	close(goOn)
	if err := <-answered; err != nil {
		t.Errorf("the mail under way was answered by %v", err)
	}
	if err := <-closed; err != nil {
		t.Error(err)
	}
	if len(m.kept()) != 1 {
		t.Error("the mail under way wasn't kept")
	}
}

func TestClosingDoesntWaitForAMemoryThatHangs(t *testing.T) {
	within := make(chan struct{})
	l, err := inbox.Listen(context.Background(), inbox.ListenOptions{Addr: "127.0.0.1:0", Keep: func(ctx context.Context, _ inbox.Arrived) error {
		close(within)
		<-ctx.Done()
		return ctx.Err()
	}})
	if err != nil {
		t.Fatal(err)
	}
	r := dial(t, l)
	r.upToData()
	if _, err := r.Write([]byte(mail("a", "T3 2+1") + ".\r\n")); err != nil {
		t.Fatal(err)
	}
	<-within
	ctx, cancel := context.WithTimeout(context.Background(), 50*time.Millisecond)
	defer cancel()
	if err := l.Close(ctx); err != nil {
		t.Error(err)
	}
}

func TestManyMailServersAtOnceLoseNothing(t *testing.T) {
	m := newMemory()
	l := listen(t, inbox.ListenOptions{Addr: filepath.Join(folder(t), "s"), MaxConns: 400, Keep: m.keep})
	var all sync.WaitGroup
	for i := range 15 {
		all.Go(func() {
			for j := range 20 {
				l := letter{network: "unix", addr: l.Addr(), lmtp: true, to: ours, body: mail(fmt.Sprint(i, "-", j/2), "T3 2+1")}
				if err := hand(t, l); err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	if m.calls != 300 || len(m.kept()) != 150 {
		t.Errorf("%d mails kept in %d calls, want 150 in 300: each came twice", len(m.kept()), m.calls)
	}
}

func TestASocketIsTakenOverOnlyFromTheDead(t *testing.T) {
	dir := folder(t)
	m := newMemory()
	left := filepath.Join(dir, "left")
	dead, err := net.ListenUnix("unix", &net.UnixAddr{Name: left})
	if err != nil {
		t.Fatal(err)
	}
	dead.SetUnlinkOnClose(false)
	dead.Close()
	listen(t, inbox.ListenOptions{Addr: left, Keep: m.keep})
	if _, err := inbox.Listen(t.Context(), inbox.ListenOptions{Addr: left, Keep: m.keep}); err == nil || !strings.Contains(err.Error(), "another program listens") {
		t.Errorf("a socket in use: %v", err)
	}
	file := write(t, dir, "file", "precious")
	if _, err := inbox.Listen(t.Context(), inbox.ListenOptions{Addr: file, Keep: m.keep}); err == nil || !strings.Contains(err.Error(), "isn't a socket") {
		t.Errorf("a file in the way: %v", err)
	}
	if body, _ := os.ReadFile(file); string(body) != "precious" {
		t.Error("the file in the way was changed")
	}
}

func TestOnlyThisMachineIsListenedTo(t *testing.T) {
	for addr, ok := range map[string]bool{
		"127.0.0.1:2424": true, "[::1]:2424": true, "/run/budcall/inbox.sock": true,
		"0.0.0.0:2424": false, ":2424": false, "192.0.2.1:2424": false, "inbox.sock": false, "localhost:2424": false, "": false,
	} {
		if err := inbox.CheckAddress(addr); (err == nil) != ok {
			t.Errorf("%q: %v", addr, err)
		}
	}
}
