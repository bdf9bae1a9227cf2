package inbox_test

import (
	"context"
	"errors"
	"net"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"budcall/internal/inbox"
)

// day is when the fake mailbox got its mails.
var day = time.Date(2031, 5, 3, 12, 0, 0, 0, time.UTC)

// clock is a time of the test.
type clock struct{ at time.Time }

func (c *clock) now() time.Time { return c.at }

func fakePoller(t *testing.T, f *fakeIMAP, m *memory, places inbox.Mark) (*inbox.Poller, *clock) {
	t.Helper()
	c := &clock{at: day}
	return poller(t, inbox.PollOptions{
		Addr: f.addr, Security: inbox.NoTLS, MaxBytes: 2000, Silence: 300 * time.Millisecond,
		Keep: m.keep, Mark: places, Count: m.count, Now: c.now,
	}), c
}

func TestOneBadMailHoldsBackNoOther(t *testing.T) {
	for _, trouble := range []string{"no", "bye", "cut", "garbage", "silence"} {
		t.Run(trouble, func(t *testing.T) {
			t.Parallel()
			f, m, places := serveIMAP(t), newMemory(), &marks{}
			for uid, s := range map[uint32]string{1: "one", 2: "two", 3: "three", 4: "four"} {
				f.mails[uid] = mail(s, "T3 2+1")
			}
			f.trouble[2] = trouble
			p, c := fakePoller(t, f, m, places)
			_ = p.Round(t.Context()) // ends at the bad one where that ends the connection
			_ = p.Round(t.Context())
			if got, want := m.subjects(), []string{"four", "one", "three"}; !reflect.DeepEqual(got, want) {
				t.Fatalf("kept %q, want %q", got, want)
			}
			if got, want := places.all()["INBOX"], (inbox.Place{Validity: 7, UID: 4, Left: []uint32{2}}); !reflect.DeepEqual(got, want) {
				t.Fatalf("the place is %+v, want %+v", got, want)
			}
			tries := count(f.fetched, 2)
			_ = p.Round(t.Context())
			if count(f.fetched, 2) != tries {
				t.Error("the bad mail is tried again without a pause")
			}
			c.at = c.at.Add(time.Hour)
			f.mu.Lock()
			delete(f.trouble, 2)
			f.mu.Unlock()
			round(t, p)
			if got := m.subjects(); !slices.Contains(got, "two") {
				t.Errorf("kept %q: the mail that is well again isn't among them", got)
			}
			if got := places.all()["INBOX"]; len(got.Left) != 0 {
				t.Errorf("still left: %v", got.Left)
			}
		})
	}
}

func count(all []uint32, uid uint32) (n int) {
	for _, u := range all {
		if u == uid {
			n++
		}
	}
	return n
}

func TestAMailThatTheMemoryRefusesHoldsBackNoOther(t *testing.T) {
	f, m, places := serveIMAP(t), newMemory(), &marks{}
	f.mails[1], f.mails[2] = mail("bad", "x"), mail("good", "T3 2+1")
	m.refuse = func(a inbox.Arrived) error {
		if strings.Contains(string(a.Raw), "bad") {
			panic("a fault of the program")
		}
		return nil
	}
	p, _ := fakePoller(t, f, m, places)
	round(t, p)
	if got := m.subjects(); !reflect.DeepEqual(got, []string{"good"}) {
		t.Errorf("kept %q", got)
	}
	if got := places.all()["INBOX"].Left; !reflect.DeepEqual(got, []uint32{1}) {
		t.Errorf("left %v, want the first", got)
	}
	m.refuse = nil
	again, _ := fakePoller(t, f, m, places) // a restart tries it at once
	round(t, again)
	if got := m.subjects(); !reflect.DeepEqual(got, []string{"bad", "good"}) {
		t.Errorf("kept %q", got)
	}
}

func TestWhileTheMemoryIsAwayTheMailboxWaits(t *testing.T) {
	f, m, places := serveIMAP(t), newMemory(), &marks{}
	f.mails[1], f.mails[2] = mail("one", "x"), mail("two", "x")
	places.fail = errors.New("the database is away")
	p, _ := fakePoller(t, f, m, places)
	if err := p.Round(t.Context()); err == nil || f.logins != 0 {
		t.Errorf("a round without a memory: %v, %d logins", err, f.logins)
	}
	places.fail = nil
	away := errors.New("away")
	m.refuse = func(inbox.Arrived) error { places.fail = away; return away }
	if err := p.Round(t.Context()); !errors.Is(err, away) {
		t.Errorf("the memory went away: %v", err)
	}
	if len(f.fetched) != 1 {
		t.Errorf("fetched %v: it goes on while nothing can be kept", f.fetched)
	}
	m.refuse, places.fail = nil, nil
	round(t, p)
	if got := m.subjects(); !reflect.DeepEqual(got, []string{"one", "two"}) {
		t.Errorf("kept %q", got)
	}
}

func TestAMailboxUnderAnotherValidityIsReadFromItsStart(t *testing.T) {
	f, m, places := serveIMAP(t), newMemory(), &marks{}
	f.mails[40], f.mails[41] = mail("one", "x"), mail("two", "x")
	p, _ := fakePoller(t, f, m, places)
	round(t, p)
	f.mu.Lock()
	f.validity, f.mails = 8, map[uint32]string{1: mail("two", "x"), 2: mail("three", "x")}
	f.mu.Unlock()
	round(t, p)
	if got := m.subjects(); !reflect.DeepEqual(got, []string{"one", "three", "two"}) || m.calls != 4 {
		t.Errorf("kept %q in %d calls", got, m.calls)
	}
	if got, want := places.all()["INBOX"], (inbox.Place{Validity: 8, UID: 2}); got.Validity != want.Validity || got.UID != want.UID {
		t.Errorf("the place is %+v, want %+v", got, want)
	}
}

func TestAHugeMailIsNotTakenWhateverTheServerSaysOfIt(t *testing.T) {
	f, m, places := serveIMAP(t), newMemory(), &marks{}
	f.mails[1], f.mails[2] = mail("huge", strings.Repeat("x", 500_000)), mail("small", "x")
	f.mails[3] = mail("lie", strings.Repeat("x", 500_000))
	f.claims[3] = 100
	p, _ := fakePoller(t, f, m, places)
	if err := p.Round(t.Context()); err == nil {
		t.Error("a mail larger than it was said to be is nothing to tell of")
	}
	got := m.kept()
	if len(got) != 2 || !got[0].Cut || got[0].Size < 500_000 || len(got[0].Raw) > 300 || got[1].Cut {
		t.Errorf("kept %q", m.subjects())
	}
	if left := places.all()["INBOX"].Left; !reflect.DeepEqual(left, []uint32{3}) {
		t.Errorf("left %v", left)
	}
}

func TestAMailThatVanishedIsForgotten(t *testing.T) {
	f, m, places := serveIMAP(t), newMemory(), &marks{}
	f.mails[1], f.mails[2], f.mails[3] = mail("one", "x"), mail("two", "x"), mail("three", "x")
	f.trouble[1], f.trouble[2] = "nothing", "no"
	p, c := fakePoller(t, f, m, places)
	round(t, p)
	if got := places.all()["INBOX"].Left; !reflect.DeepEqual(got, []uint32{2}) {
		t.Errorf("left %v, want the one that was refused", got)
	}
	f.mu.Lock()
	delete(f.mails, 2)
	f.mu.Unlock()
	c.at = c.at.Add(time.Hour)
	round(t, p)
	if got := places.all()["INBOX"].Left; len(got) != 0 {
		t.Errorf("left %v, want none", got)
	}
}

func TestAServerThatWontLetUsInIsAskedEverMoreSeldom(t *testing.T) {
	for name, spoil := range map[string]func(*fakeIMAP){
		"it doesn't greet":        func(f *fakeIMAP) { f.greeting = "" },
		"it says goodbye at once": func(f *fakeIMAP) { f.greeting = "* BYE too many connections\r\n" },
		"it speaks another thing": func(f *fakeIMAP) { f.greeting = "220 relay ESMTP\r\n" },
		"the password is wrong":   func(f *fakeIMAP) { f.login = "NO [AUTHENTICATIONFAILED] wrong" },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f, m := serveIMAP(t), newMemory()
			f.mu.Lock()
			spoil(f)
			f.mu.Unlock()
			var waits []time.Duration
			p := poller(t, inbox.PollOptions{
				Addr: f.addr, Security: inbox.NoTLS, Silence: 100 * time.Millisecond, Keep: m.keep, Mark: &marks{}, Count: m.count,
				Wait: func(_ context.Context, d time.Duration) error {
					if waits = append(waits, d); len(waits) == 8 {
						return context.Canceled
					}
					return nil
				},
			})
			p.Run(t.Context())
			minutes := func(all ...int) (d []time.Duration) {
				for _, n := range all {
					d = append(d, time.Duration(n)*time.Minute)
				}
				return d
			}
			if want := minutes(1, 2, 4, 8, 16, 30, 30, 30); !reflect.DeepEqual(waits, want) {
				t.Errorf("waited %v, want %v", waits, want)
			}
			if m.events[inbox.PollError] != 8 {
				t.Errorf("events %v", m.events)
			}
		})
	}
}

func TestStoppingEndsAReadingThatHangs(t *testing.T) {
	f, m := serveIMAP(t), newMemory()
	f.mails[1], f.trouble[1] = mail("one", "x"), "silence"
	ctx, cancel := context.WithCancel(t.Context())
	p := poller(t, inbox.PollOptions{Addr: f.addr, Security: inbox.NoTLS, Keep: m.keep, Mark: &marks{}, Dial: func(ctx context.Context, network, addr string) (net.Conn, error) {
		conn, err := (&net.Dialer{}).DialContext(ctx, network, addr)
		time.AfterFunc(50*time.Millisecond, cancel)
		return conn, err
	}})
	ended := make(chan struct{})
	go func() { p.Run(ctx); close(ended) }()
	select {
	case <-ended:
	case <-time.After(patience):
		t.Fatalf("it still reads after %s", patience)
	}
}

func TestAMailboxIsNotReadInTheOpenAndNotWithoutWhatItNeeds(t *testing.T) {
	good := inbox.PollOptions{Addr: "imap.example.org:993", User: "u", Password: "p"}
	for name, c := range map[string]struct {
		change func(*inbox.PollOptions)
		says   string
	}{
		"good":                              {func(*inbox.PollOptions) {}, ""},
		"clear text on loopback":            {func(o *inbox.PollOptions) { o.Addr, o.Security = "127.0.0.1:143", inbox.NoTLS }, ""},
		"clear text over the network":       {func(o *inbox.PollOptions) { o.Security = inbox.NoTLS }, "clear text"},
		"no port":                           {func(o *inbox.PollOptions) { o.Addr = "imap.example.org" }, "isn't host:port"},
		"no password":                       {func(o *inbox.PollOptions) { o.Password = "" }, "user and a password"},
		"to be moved nowhere":               {func(o *inbox.PollOptions) { o.After = inbox.Move }, "no other folder"},
		"to be moved to where it is":        {func(o *inbox.PollOptions) { o.After, o.Mailbox, o.Folder = inbox.Move, "A", "A" }, "no other folder"},
		"deleted, which we never do":        {func(o *inbox.PollOptions) { o.After = "delete" }, "choose leave, seen or move"},
		"a word for security we don't know": {func(o *inbox.PollOptions) { o.Security = "ssl" }, "choose tls, starttls or none"},
	} {
		o := good
		c.change(&o)
		err := o.Check()
		if (err == nil) != (c.says == "") || err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
