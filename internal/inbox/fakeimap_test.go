package inbox_test

import (
	"bufio"
	"fmt"
	"net"
	"strconv"
	"strings"
	"sync"
	"testing"
)

// fakeIMAP is a mail server that misbehaves as the test says. It knows what
// the poller says and no more.
type fakeIMAP struct {
	t    *testing.T
	addr string

	mu       sync.Mutex
	validity uint32
	mails    map[uint32]string // by UID
	claims   map[uint32]int    // sizes, where they aren't true
	trouble  map[uint32]string // at fetching a mail: bye, cut, no, silence, garbage
	greeting string
	login    string // the answer to LOGIN
	caps     string
	fetched  []uint32
	logins   int
}

func serveIMAP(t *testing.T) *fakeIMAP {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	f := &fakeIMAP{t: t, addr: l.Addr().String(), validity: 7, mails: map[uint32]string{}, claims: map[uint32]int{}, trouble: map[uint32]string{},
		greeting: "* OK here\r\n", login: "OK in", caps: "IMAP4rev1"}
	done := make(chan struct{})
	var conns sync.WaitGroup
	go func() {
		defer close(done)
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			conns.Go(func() { defer c.Close(); f.serve(c) })
		}
	}()
	t.Cleanup(func() { l.Close(); <-done; conns.Wait() })
	return f
}

func (f *fakeIMAP) serve(c net.Conn) {
	lines := bufio.NewReader(c)
	f.mu.Lock()
	greeting := f.greeting
	f.mu.Unlock()
	fmt.Fprint(c, greeting)
	for {
		line, err := lines.ReadString('\n')
		if err != nil {
			return
		}
		tag, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		if !f.answer(c, tag, rest) {
			return
		}
	}
}

// answer says false where the connection is to end.
func (f *fakeIMAP) answer(c net.Conn, tag, command string) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	switch word, _, _ := strings.Cut(command, " "); word {
	case "CAPABILITY":
		fmt.Fprintf(c, "* CAPABILITY %s\r\n%s OK\r\n", f.caps, tag)
	case "LOGIN":
		f.logins++
		fmt.Fprintf(c, "%s %s\r\n", tag, f.login)
	case "SELECT", "EXAMINE":
		fmt.Fprintf(c, "* %d EXISTS\r\n* OK [UIDVALIDITY %d] ok\r\n%s OK [READ-ONLY] in\r\n", len(f.mails), f.validity, tag)
	case "UID":
		return f.fetch(c, tag, command)
	case "LOGOUT":
		fmt.Fprintf(c, "* BYE bye\r\n%s OK\r\n", tag)
		return false
	default:
		fmt.Fprintf(c, "%s BAD what is %s\r\n", tag, word)
	}
	return true
}

func (f *fakeIMAP) fetch(c net.Conn, tag, command string) bool {
	fields := strings.Fields(command)
	if len(fields) < 4 || fields[1] != "FETCH" {
		fmt.Fprintf(c, "%s NO only UID FETCH\r\n", tag)
		return true
	}
	listing := strings.Contains(command, "RFC822.SIZE")
	seq := 0
	for uid := uint32(1); uid < 100; uid++ {
		body, ok := f.mails[uid]
		if !ok {
			continue
		}
		seq++
		if !within(fields[2], uid) {
			continue
		}
		if listing {
			size := len(body)
			if n, lies := f.claims[uid]; lies {
				size = n
			}
			fmt.Fprintf(c, "* %d FETCH (UID %d RFC822.SIZE %d INTERNALDATE \"03-May-2031 10:00:00 +0000\")\r\n", seq, uid, size)
			continue
		}
		f.fetched = append(f.fetched, uid)
		section := "BODY[]"
		if strings.Contains(command, "HEADER") {
			section, body = "BODY[HEADER]<0>", body[:strings.Index(body, "\r\n\r\n")+4]
		}
		switch f.trouble[uid] {
		case "no":
			fmt.Fprintf(c, "%s NO this one is broken\r\n", tag)
			return true
		case "bye":
			fmt.Fprint(c, "* BYE shutting down\r\n")
			return false
		case "cut":
			fmt.Fprintf(c, "* %d FETCH (UID %d %s {%d}\r\n%s", seq, uid, section, len(body), body[:len(body)/2])
			return false
		case "garbage":
			fmt.Fprintf(c, "* %d FETCH (UID %d ((((%s\r\n", seq, uid, section)
			return true
		case "silence":
			return true
		case "nothing":
			continue
		}
		fmt.Fprintf(c, "* %d FETCH (UID %d %s {%d}\r\n%s)\r\n", seq, uid, section, len(body), body)
	}
	fmt.Fprintf(c, "%s OK done\r\n", tag)
	return true
}

// within tells whether a set such as 3:*,1 names a UID.
func within(set string, uid uint32) bool {
	for part := range strings.SplitSeq(set, ",") {
		from, to, ranged := strings.Cut(part, ":")
		low, _ := strconv.ParseUint(from, 10, 32)
		high := low
		if ranged {
			high, _ = strconv.ParseUint(to, 10, 32)
			if to == "*" {
				high = 1 << 31
			}
		}
		if uint64(uid) >= low && uint64(uid) <= high {
			return true
		}
	}
	return false
}
