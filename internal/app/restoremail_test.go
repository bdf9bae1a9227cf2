package app_test

import (
	"bytes"
	"context"
	"fmt"
	"net"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/emersion/go-imap/v2"
	"github.com/emersion/go-imap/v2/imapserver"
	"github.com/emersion/go-imap/v2/imapserver/imapmemserver"

	"budcall/internal/app"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/postgres"
	"budcall/internal/testpg"
	"budcall/internal/trail"
)

// mailbox serves one by IMAP; put lays a mail into it.
func mailbox(t *testing.T) (addr string, put func(raw string)) {
	t.Helper()
	user := imapmemserver.NewUser("calls", "secret")
	if err := user.Create("INBOX", nil); err != nil {
		t.Fatal(err)
	}
	memory := imapmemserver.New()
	memory.AddUser(user)
	server := imapserver.New(&imapserver.Options{
		NewSession: func(*imapserver.Conn) (imapserver.Session, *imapserver.GreetingData, error) {
			return memory.NewSession(), nil, nil
		},
		Caps: imap.CapSet{imap.CapIMAP4rev1: {}}, InsecureAuth: true,
	})
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	go server.Serve(l) //nolint:errcheck // it ends with the test
	t.Cleanup(func() { _ = server.Close() })
	return l.Addr().String(), func(raw string) {
		t.Helper()
		if _, err := user.Append("INBOX", bytes.NewReader([]byte(raw)), &imap.AppendOptions{}); err != nil {
			t.Fatal(err)
		}
	}
}

// What people answered after the backup is in the mailbox still: with the
// journal lost as well it is read from there, and with the journal it is stored
// once.
func TestAnswersSinceTheBackupComeBackFromTheMailbox(t *testing.T) {
	addr, put := mailbox(t)
	p := newProgramme(t, relayAt(t, "127.0.0.1:0", &letterbox{}, nil).Addr())
	p.file(t, "secrets/box", "secret\n")
	p.more = "inbox:\n  imap: {server: " + addr + ", tls: none, user: calls, password_file: secrets/box}\n"
	p.write(t)
	lost := app.Options{Dir: p.dir, DSN: testpg.New(t), State: t.TempDir(), Clock: civil.Of(2016, 4, 25)}
	const reports = `select count(*) || ' reports, bags ' || coalesce(string_agg(selfing::text, ' ' order by id), '') || ', mails read ' || (select count(*) from arrived where state = 'read') from report`
	stands := func(o app.Options, want string) {
		t.Helper()
		a, err := start(t, o)
		if err != nil {
			t.Fatal(err)
		}
		defer a.Close(context.Background())
		eventually(t, want, func() bool { return ask(t, o.DSN, reports) == want })
	}
	answer := func(n int, token, body string) {
		put(fmt.Sprintf("From: otso@birches.example\r\nTo: calls@birches.example\r\nDate: Wed, 04 May 2016 1%d:00:00 +0300\r\nIn-Reply-To: <%s@birches.example>\r\nMessage-ID: <%d@phone.example>\r\nContent-Type: text/plain\r\n\r\n%s\r\n", n, token, n, body))
	}
	a, err := start(t, lost)
	if err != nil {
		t.Fatal(err)
	}
	until(t, a, "2016-05-04")
	token := ask(t, lost.DSN, `select id from letter where target = 'otso' and kind = 'calls' order by written_at desc limit 1`)
	if err := a.Close(t.Context()); err != nil {
		t.Fatal(err)
	}
	answer(1, token, "T1 2+1")
	stands(lost, "1 reports, bags 2, mails read 1")
	file := filepath.Join(t.TempDir(), "mid.backup")
	beside(t, lost, func(b *app.Beside) {
		if _, err := b.Backup(t.Context(), app.BackupRequest{State: lost.State, Out: file}); err != nil {
			t.Fatal(err)
		}
	})
	beside(t, lost, func(b *app.Beside) {
		if _, _, err := b.WithdrawLinks(t.Context(), "ilmi"); err != nil {
			t.Fatal(err)
		}
	})
	answer(2, token, "T1 3+1")
	stands(lost, "2 reports, bags 2 3, mails read 2")

	for name, state := range map[string]string{"without a journal": t.TempDir(), "with it": lost.State} {
		t.Run(name, func(t *testing.T) {
			back := lost
			back.DSN, back.State = testpg.New(t), state
			got, err := app.Restore(t.Context(), app.RestoreRequest{Options: back, File: file})
			if want := map[bool]int{true: 1}[state == lost.State]; err != nil || got.Recovered.Reports != want {
				t.Fatalf("%+v, %v", got, err)
			}
			if turns, want := ask(t, back.DSN, `select coalesce(sum(turn), 0)::text from link_turn`), fmt.Sprint(got.Recovered.Reports); turns != want {
				t.Errorf("links were withdrawn %s times, want %s: as the journal says", turns, want)
			}
			stands(back, "2 reports, bags 2 3, mails read 2")
		})
	}
}

// A first start in mid-season: bags that hang already are entered with the days
// on which they were put on, and nobody is told of a day that is past.
func TestBagsThatHangAlreadyAreEnteredAndPastDaysAreNeverTold(t *testing.T) {
	box := &letterbox{}
	p := newProgramme(t, relayAt(t, "127.0.0.1:0", box, nil).Addr())
	p.site(t, "YARD", "ilmi")
	o := app.Options{Dir: p.dir, DSN: testpg.New(t), State: t.TempDir(), Clock: civil.Of(2016, 5, 14)}
	a, err := start(t, o)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close(context.Background())
	now := at("2016-05-14 00:00")
	if err := a.DB().Hold(t.Context(), postgres.Hold{Since: now, Why: postgres.FirstStart}); err != nil {
		t.Fatal(err)
	}
	hung := []trail.Report{{Site: "HOME", Task: string(call.BagOn), Kind: trail.BagsOn, Tree: "T1", Selfing: 2, Control: 1, Person: "otso", Day: civil.Of(2016, 5, 1)}}
	beside(t, o, func(b *app.Beside) {
		for _, want := range []bool{true, false} { // the same table twice is one report
			if stored, err := b.Take(t.Context(), slices.Clone(hung), nil); err != nil || stored != want {
				t.Fatalf("stored %t, %v", stored, err)
			}
		}
	})
	until(t, a, "2016-05-15")
	if n := len(box.all()); n != 0 {
		t.Errorf("%d mails while sending is held", n)
	}
	if s := standing(t, a, "HOME", call.BagOn); s != call.Done {
		t.Errorf("bagging at HOME stands %q although bags are on", s)
	}
	beside(t, o, func(b *app.Beside) {
		list, err := b.Owed(t.Context())
		if err != nil || !list.Ready {
			t.Fatalf("%+v, %v", list, err)
		}
		for _, l := range list.Things {
			if l.Site == "HOME" && l.Task == call.BagOn {
				t.Errorf("bagging at HOME is owed: %+v", l)
			}
		}
		if sorted, err := b.SortAll(t.Context(), true); err != nil || !sorted.Ended {
			t.Fatalf("%+v, %v", sorted, err)
		}
	})
	until(t, a, "2016-06-01")
	// Where it may be late and isn't surely too late, that is what people are told; no day
	// that is past is told as one to come.
	told := ask(t, o.DSN, `
		with told as (select o.*, (item->'days'->>'last')::date as last, (l.settled_at at time zone 'UTC')::date as on_day from owed o join letter l on l.id = o.letter_id where l.state = 'sent'),
			late as (select site, season, task, serial from told where reason = 'last day past')
		select count(*) || ' told, of days past as to come: ' || count(*) filter (where standing in ('ahead', 'go', 'hurry', 'look first') and last < on_day and (site, season, task) not in (select site, season, task from late))
			|| ', of the time before: ' || count(*) filter (where at < '2016-05-14') from told`)
	if strings.HasPrefix(told, "0 ") || !strings.HasSuffix(told, " told, of days past as to come: 0, of the time before: 0") {
		t.Error(told)
	}
}
