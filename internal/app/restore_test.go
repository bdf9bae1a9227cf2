package app_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"budcall/internal/app"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/postgres"
	"budcall/internal/testpg"
	"budcall/internal/trail"
)

// beside opens a memory for one command.
func beside(t *testing.T, o app.Options, do func(*app.Beside)) {
	t.Helper()
	b, err := app.Attach(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	do(b)
	if err := b.Close(context.Background()); err != nil {
		t.Fatal(err)
	}
}

func saidBy(t *testing.T, o app.Options, s app.Said) {
	t.Helper()
	beside(t, o, func(b *app.Beside) {
		if _, stored, err := b.Report(t.Context(), s); err != nil || !stored {
			t.Fatalf("stored %t, %v", stored, err)
		}
	})
}

// What was told to whom in letters that went out since a moment, and what people
// reported.
func toldSince(t *testing.T, dsn string, since time.Time) []string {
	t.Helper()
	told := ask(t, dsn, `select coalesce(string_agg(o.site || ' ' || o.task || ' ' || o.person || ' ' || o.standing || ' ' || o.passed, E'\n' order by o.site, o.task, o.id), '')
		from owed o join letter l on l.id = o.letter_id where l.state = 'sent' and l.settled_at > $1`, since)
	return strings.Split(told, "\n")
}

const reportsOf = `select string_agg(site || kind || tree || selfing || day || person || at, E'\n' order by at, id) from report`

// A season: a backup in its middle, two weeks more, the database lost, restored
// from the backup and the journal.
func TestARestoredSeasonRepeatsNoMailAndLosesNoReport(t *testing.T) {
	box := &letterbox{}
	p := newProgramme(t, relayAt(t, "127.0.0.1:0", box, nil).Addr())
	p.site(t, "YARD", "ilmi")
	p.site(t, "FARM", "otso")
	state := t.TempDir()
	lost := app.Options{Dir: p.dir, DSN: testpg.New(t), State: state, Clock: civil.Of(2016, 4, 10)}
	a, err := start(t, lost)
	if err != nil {
		t.Fatal(err)
	}
	until(t, a, "2016-05-04")
	saidBy(t, lost, app.Said{Site: "YARD", Person: "ilmi", Kind: trail.BagsOn, Trees: []string{"T1"}, Selfing: 2, Control: 1})
	file := filepath.Join(t.TempDir(), "mid.backup")
	beside(t, lost, func(b *app.Beside) { // the program goes on working
		made, err := b.Backup(t.Context(), app.BackupRequest{State: state, Version: "test", Out: file})
		if err != nil || !made.Keyed || made.Rows == 0 {
			t.Fatalf("%+v, %v", made, err)
		}
	})
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the backup's file is %v, %v", info.Mode(), err)
	}
	backupAt := at("2016-05-04 00:00")
	until(t, a, "2016-05-10")
	saidBy(t, lost, app.Said{Site: "HOME", Person: "otso", Kind: trail.BagsOn, Trees: []string{"T1"}, Selfing: 2, Control: 1})
	until(t, a, "2016-05-18")
	told, reports, mails := toldSince(t, lost.DSN, backupAt), ask(t, lost.DSN, reportsOf), len(box.all())
	if len(told) < 3 {
		t.Fatalf("only %q was told in the lost weeks: the test needs more", told)
	}
	if err := a.Close(context.Background()); err != nil {
		t.Fatal(err)
	}

	back := lost
	back.DSN = testpg.New(t)
	got, err := app.Restore(t.Context(), app.RestoreRequest{Options: back, File: file})
	if err != nil || got.Recovered.Reports != 1 || got.Recovered.Letters == 0 || len(got.Unread) > 0 {
		t.Fatalf("%+v, %v", got, err)
	}
	if now := ask(t, back.DSN, reportsOf); now != reports {
		t.Errorf("reports are\n%s\nand were\n%s", now, reports)
	}
	a, err = start(t, back)
	if err != nil {
		t.Fatal(err)
	}
	says(t, troubles(t, a), "Nothing is sent", "a backup was restored", "budcall owed")
	beside(t, back, func(b *app.Beside) {
		if _, err := b.SortAll(t.Context(), true); err == nil || !strings.Contains(err.Error(), "hasn't looked at the weather") {
			t.Errorf("released before anything is known of today: %v", err)
		}
	})
	until(t, a, "2016-05-20")
	if n := len(box.all()); n != mails {
		t.Errorf("%d mails were sent while sending is held", n-mails)
	}
	beside(t, back, func(b *app.Beside) {
		list, err := b.Owed(t.Context())
		if err != nil || list.Held == nil || list.Held.Why != postgres.Restored || !list.Ready {
			t.Fatalf("%+v, %v", list, err)
		}
		for _, l := range list.Things {
			t.Logf("owed: %d %s %s %s %s %s: %s", l.ID, l.Site, l.Task, l.Person, l.Standing, l.Reason, l.Verdict)
		}
		sorted, err := b.SortAll(t.Context(), true)
		if err != nil || !sorted.Ended {
			t.Fatalf("%+v, %v", sorted, err)
		}
		t.Logf("%+v", sorted)
	})
	until(t, a, "2016-06-10")
	silent(t, troubles(t, a), "Nothing is sent")
	if all := toldSince(t, back.DSN, backupAt); len(all) < len(told) {
		t.Errorf("of what was told in the lost weeks is known %q", all)
	}
	now := toldSince(t, back.DSN, at("2016-05-19 00:00"))
	for _, line := range now {
		if slices.Contains(told, line) && line != "" {
			t.Errorf("told twice: %s", line)
		}
	}
	t.Logf("told before the loss:\n%s\nafter:\n%s", strings.Join(told, "\n"), strings.Join(now, "\n"))
	ends := map[string]call.Standing{}
	for _, site := range []string{"HOME", "YARD", "FARM"} {
		for _, task := range call.Tasks {
			ends[string(task)+" at "+site] = standing(t, a, site, task)
		}
	}
	if err := a.Close(context.Background()); err != nil {
		t.Fatal(err)
	}
	// The undisturbed season comes to the same.
	calm, err := start(t, lost)
	if err != nil {
		t.Fatal(err)
	}
	defer calm.Close(context.Background())
	until(t, calm, "2016-06-10")
	for _, site := range []string{"HOME", "YARD", "FARM"} {
		for _, task := range call.Tasks {
			if got, want := ends[string(task)+" at "+site], standing(t, calm, site, task); got != want {
				t.Errorf("%s at %s stands at %q, in an undisturbed season at %q", task, site, got, want)
			}
		}
	}
	for _, line := range toldSince(t, lost.DSN, at("2016-05-22 00:00")) {
		if !slices.Contains(now, line) {
			t.Errorf("never told: %s", line)
		}
	}
}

// A first start in mid-season holds what it would send; one in winter doesn't.
func TestAFirstStartInMidSeasonIsHeld(t *testing.T) {
	for name, c := range map[string]struct {
		day  string
		held bool
	}{
		"in winter":                {"2016-01-20 08:00", false},
		"while trees are surveyed": {"2016-03-10 08:00", false},
		"when bags may be on":      {"2016-05-10 08:00", true},
		"when seed may be picked":  {"2016-08-10 08:00", true},
		"after the season":         {"2016-10-10 08:00", false},
	} {
		t.Run(name, func(t *testing.T) {
			box := &letterbox{}
			p := newProgramme(t, relayAt(t, "127.0.0.1:0", box, nil).Addr())
			o := app.Options{Dir: p.dir, DSN: testpg.New(t), State: t.TempDir(), Wall: func() time.Time { return at(c.day) }}
			a, err := start(t, o)
			if err != nil {
				t.Fatal(err)
			}
			defer a.Close(context.Background())
			h, held, err := a.DB().Held(t.Context())
			if err != nil || held != c.held || held && (h.Why != postgres.FirstStart || !h.Since.Equal(at(c.day))) {
				t.Errorf("held is %t, %+v, %v", held, h, err)
			}
			if held {
				says(t, troubles(t, a), "a first start", "budcall report", "budcall owed")
			}
		})
	}
}

func TestTheJournalOutlivesHalfALineAndOthers(t *testing.T) {
	state := t.TempDir()
	p := newProgramme(t, relayAt(t, "127.0.0.1:0", &letterbox{}, nil).Addr())
	o := app.Options{Dir: p.dir, DSN: testpg.New(t), State: state, Clock: civil.Of(2016, 4, 10)}
	a, err := start(t, o)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close(context.Background())
	until(t, a, "2016-04-12")
	file := filepath.Join(t.TempDir(), "early.backup")
	beside(t, o, func(b *app.Beside) {
		if _, err := b.Backup(t.Context(), app.BackupRequest{State: state, Out: file}); err != nil {
			t.Fatal(err)
		}
	})
	path := filepath.Join(state, "reports.jsonl")
	if err := os.WriteFile(path, []byte(`{"at":"2016-04-12T10:00:00Z","key":"half`), 0o600); err != nil { // killed while it wrote
		t.Fatal(err)
	}
	for i := range 3 {
		saidBy(t, o, app.Said{Site: "HOME", Person: "otso", Kind: trail.CatkinsSeen, Trees: []string{"T1"}, Count: 10 + i})
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the journal's mode is %v, %v", info.Mode(), err)
	}
	back := o
	back.DSN = testpg.New(t)
	got, err := app.Restore(t.Context(), app.RestoreRequest{Options: back, File: file})
	if err != nil || got.Recovered.Reports != 3 || len(got.Unread) != 1 || !strings.Contains(got.Unread[0], fmt.Sprintf("%s:1: ", path)) {
		t.Errorf("%+v, %v", got, err)
	}
}
