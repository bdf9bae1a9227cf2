package app_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/testpg"
	"budcall/internal/trail"
)

// notedIn gives the days of a journal's lines, the files in order.
func notedIn(t *testing.T, state string) (days []string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(state, "reports*.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(files)
	for _, f := range files {
		body, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`(?m)^\{"at":"(\d{4}-\d\d-\d\d)`).FindAllStringSubmatch(string(body), -1) {
			days = append(days, m[1])
		}
	}
	slices.Sort(days)
	return days
}

// Each kind of what is kept goes when its own setting says so, by the program's
// clock, and what was made of it stays.
func TestWhatIsKeptGoesWhenItsTimeIsOver(t *testing.T) {
	box := &letterbox{}
	p := newProgramme(t, relayAt(t, "127.0.0.1:0", box, nil).Addr())
	p.more = "inbox:\n  lmtp: 127.0.0.1:0\n  keep_days: 40\nletters_days: 400\njournal_days: 30\nraw_copies_days: 35\n"
	p.write(t)
	o := app.Options{Dir: p.dir, DSN: testpg.New(t), State: t.TempDir(), Clock: civil.Of(2016, 4, 25)}
	a, err := start(t, o)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close(context.Background())
	until(t, a, "2016-05-04")
	saidBy(t, o, app.Said{Site: "HOME", Person: "otso", Kind: trail.BagsOn, Trees: []string{"T1"}, Selfing: 2, Control: 1})
	if code := handOver(t, a.InboxAddr(), answerWithPhoto(t, o.DSN, "otso", "otso@birches.example")); code != 250 {
		t.Fatalf("answered %d", code)
	}
	readAll(t, a)
	// A file of the journal that was put aside, its end half written.
	aside := filepath.Join(o.State, "reports-20160401T000000.000000000.jsonl")
	if err := os.WriteFile(aside, []byte(`{"at":"2016-04-01T10:00:00Z","key":"old"}`+"\n"+`{"at":"2016-04-0`), 0o600); err != nil {
		t.Fatal(err)
	}
	kept := func() string {
		return ask(t, o.DSN, `select 'mails ' || (select count(*) from arrived where raw is not null) || ' of ' || (select count(*) from arrived) || ', photos ' || (select count(*) from photo)
			|| ', reports ' || (select count(*) from report where way = 'mail')`)
	}
	const raw = `select (min(fetched_at) at time zone 'UTC')::date::text from raw_copy`
	first := notedIn(t, o.State)[0]
	if first != "2016-04-01" || kept() != "mails 1 of 1, photos 1, reports 1" {
		t.Fatalf("the season begins with %s, %s", first, kept())
	}

	for i, day := range []string{"2016-05-10", "2016-05-31"} { // the provider corrects what it gave, so that there is another copy
		p.file(t, "station.csv", strings.Replace(inventedWeather(2004, 2016), "2016-04-20,", fmt.Sprintf("2016-04-20,-%d", i+1), 1))
		until(t, a, day)
	}
	if days := notedIn(t, o.State); days[0] < "2016-05-01" || !slices.Contains(days, "2016-05-04") {
		t.Errorf("after 27 days the journal holds %q", days)
	}
	if _, err := os.Stat(aside); err == nil {
		t.Error("a file that was put aside stays with nothing in it that is kept")
	}
	until(t, a, "2016-06-12") // 39 days
	if got := kept(); got != "mails 1 of 1, photos 1, reports 1" {
		t.Errorf("a day before its time: %s", got)
	}
	if days := notedIn(t, o.State); len(days) > 0 && days[0] < "2016-05-12" {
		t.Errorf("after 39 days the journal holds %q", days)
	}
	if got := ask(t, o.DSN, raw); got < "2016-05-08" {
		t.Errorf("raw copies are kept since %s", got)
	}
	until(t, a, "2016-06-14")
	if got := kept(); got != "mails 0 of 1, photos 0, reports 1" {
		t.Errorf("after 41 days: %s", got)
	}

	const letters = `select count(*) filter (where written_at < '2016-05-11') || ' sent by then, ' || count(*) filter (where written_at < '2016-05-11' and content is not null) || ' can be read, '
		|| count(*) filter (where written_at < '2016-05-11' and (target = '' or settled_at is null)) || ' to nobody knows whom and when; later ones ' || (count(*) filter (where written_at > '2016-05-12' and content is not null) > 0)
		from letter where state = 'sent'`
	was := ask(t, o.DSN, letters)
	if err := a.StepTo(t.Context(), at("2017-06-15 09:00")); err != nil {
		t.Fatal(err)
	}
	n, _, _ := strings.Cut(was, " sent")
	if now, want := ask(t, o.DSN, letters), n+" sent by then, 0 can be read, 0 to nobody knows whom and when; later ones true"; now != want || n == "0" {
		t.Errorf("at first  %s\n400 days on %s\nand not     %s", was, now, want)
	}
	if held := ask(t, o.DSN, `select count(*)::text from owed where at < '2016-05-10' and item ? 'link'`); held != "0" {
		t.Errorf("%s things owed keep what letters said", held)
	}
}
