package app_test

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/sheet"
	"budcall/internal/testpg"
	"budcall/internal/trail"
)

// fetched asks for a page and gives its status and text.
func fetched(t *testing.T, url string) (status int, body string) {
	t.Helper()
	r, err := http.Get(url) //nolint:gosec // our own pages
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	raw, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return r.StatusCode, string(raw)
}

const overviews = `select coalesce(string_agg(to_char(written_at at time zone 'Europe/Helsinki', 'Dy DD Mon HH24:MI') || ' ' || target || ' ' || state, E'\n' order by written_at, target), '')
	from letter where kind = 'weekly'`

const newestLink = `select content->'items'->0->>'link' from letter where target = 'otso' and kind in ('calls', 'passed') order by written_at desc, id limit 1`

// A spring in which the coordinator hears every Monday how things stand, a
// site lead's links are withdrawn, and the season's report tells what happened.
func TestASpringIsOverseenAndReported(t *testing.T) {
	box := &letterbox{}
	p := newProgramme(t, relayAt(t, "127.0.0.1:0", box, nil).Addr())
	p.site(t, "YARD", "ilmi")
	p.more = "slots:\n  week_also_to: [ilmi]\n"
	p.write(t)
	o := app.Options{Dir: p.dir, DSN: testpg.New(t), State: t.TempDir(), Clock: civil.Of(2016, 2, 12)}
	a, err := start(t, o)
	if err != nil {
		t.Fatal(err)
	}
	until(t, a, "2016-04-19")
	var want []string // Mondays from the one on which the survey is open, the day before it begins; clocks change on 27 March
	for _, day := range []string{"29 Feb", "07 Mar", "14 Mar", "21 Mar", "28 Mar", "04 Apr", "11 Apr", "18 Apr"} {
		want = append(want, "Mon "+day+" 07:00 ilmi sent", "Mon "+day+" 07:00 maia sent")
	}
	if got := ask(t, o.DSN, overviews); got != strings.Join(want, "\n") {
		t.Errorf("overviews:\n%s\nwant:\n%s", got, strings.Join(want, "\n"))
	}
	if err := a.Close(context.Background()); err != nil {
		t.Fatal(err)
	}
	if a, err = start(t, o); err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := a.Close(context.Background()); err != nil {
			t.Error(err)
		}
	}()
	until(t, a, "2016-04-30") // otso has been asked this evening
	if n := ask(t, o.DSN, `select count(*)::text from letter where kind = 'weekly' and written_at < '2016-04-24'`); n != fmt.Sprint(len(want)) {
		t.Errorf("%s overviews until 24 April after another start, want %d", n, len(want))
	}
	last := ask(t, o.DSN, `select content->'week' from letter where kind = 'weekly' and target = 'maia' order by written_at desc limit 1`)
	says(t, last, `"task": "bag on"`, `"name": "Otso Invented"`, `"site lead"`, `"bbch": 7`, `/board/`)
	linksEnd(t, a, o)
	saidBy(t, o, app.Said{Site: "HOME", Person: "otso", Kind: trail.BagsOn, Trees: []string{"T1"}, Selfing: 2, Control: 1})
	until(t, a, "2016-06-30")
	link := at2(t, a, ask(t, o.DSN, newestLink))
	if status, _ := fetched(t, link); status != http.StatusOK {
		t.Errorf("the link of a mail after the withdrawal: %d", status)
	}
	reported(t, o)
}

// at2 gives a link at the port that the pages have now.
func at2(t *testing.T, a *app.App, link string) string {
	t.Helper()
	_, rest, ok := strings.Cut(strings.TrimPrefix(link, "http://"), "/")
	if !ok {
		t.Fatalf("no link: %q", link)
	}
	return a.Address() + "/" + rest
}

// linksEnd withdraws a person's links, and nobody else's.
func linksEnd(t *testing.T, a *app.App, o app.Options) {
	t.Helper()
	link := func(give func(*app.Beside) (string, error)) (url string) {
		beside(t, o, func(b *app.Beside) {
			var err error
			if url, err = give(b); err != nil {
				t.Fatal(err)
			}
		})
		return at2(t, a, url)
	}
	calendar := func(person string) func(*app.Beside) (string, error) {
		return func(b *app.Beside) (string, error) {
			url, _, err := b.CalendarLink(t.Context(), o.State, person, 700)
			return url, err
		}
	}
	board := func(person string) func(*app.Beside) (string, error) {
		return func(b *app.Beside) (string, error) {
			url, _, err := b.BoardLink(t.Context(), o.State, person, 30)
			return url, err
		}
	}
	ended := []string{link(calendar("otso")), link(board("otso")), at2(t, a, ask(t, o.DSN, newestLink))}
	others := []string{link(calendar("ilmi")), link(board("maia"))}
	status, ics := fetched(t, ended[0])
	if status != http.StatusOK {
		t.Fatalf("the calendar: %d", status)
	}
	says(t, ics, "BEGIN:VEVENT", "UID:HOME-2016-bag-on@", "DTSTART;VALUE=DATE:2016", "SUMMARY:Bag on at HOME")
	silent(t, ics, "YARD")
	for _, url := range ended {
		if status, body := fetched(t, url); status != http.StatusOK {
			t.Errorf("before: %d\n%s", status, body)
		}
	}
	beside(t, o, func(b *app.Beside) {
		if times, known, err := b.WithdrawLinks(t.Context(), "otso"); times != 1 || !known || err != nil {
			t.Errorf("%d times, known %t, %v", times, known, err)
		}
	})
	for _, url := range ended {
		status, body := fetched(t, url)
		if status != http.StatusGone {
			t.Errorf("after: %d", status)
		}
		says(t, body, "This link was withdrawn")
	}
	for _, url := range append(others, link(calendar("otso")), link(board("otso"))) {
		if status, _ := fetched(t, url); status != http.StatusOK {
			t.Errorf("a link of somebody else, or of afterwards: %d", status)
		}
	}
}

// reported holds the season's report to the rows of the database.
func reported(t *testing.T, o app.Options) {
	t.Helper()
	var s sheet.Season
	beside(t, o, func(b *app.Beside) {
		var err error
		if s, err = b.SeasonReport(t.Context(), 0, "test"); err != nil {
			t.Fatal(err)
		}
	})
	files := s.CSV(sheet.CSVOptions{})
	for name, count := range map[string]string{
		"calls": `select count(*)::text from site_call`, "changes": `select count(*)::text from standing_change`, "told": `select count(*)::text from owed`,
		"reports":   `select count(*)::text from report where kind not in ('going', 'can''t', 'away', 'unsafe', 'no permission')`,
		"answers":   `select count(*)::text from report where kind in ('going', 'can''t', 'away', 'unsafe', 'no permission')`,
		"forecasts": `select count(*)::text from issued`, "scores": `select count(*)::text from score`,
	} {
		rows, err := csv.NewReader(strings.NewReader(string(files[name+".csv"]))).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if got := fmt.Sprint(len(rows) - 1); got != ask(t, o.DSN, count) {
			t.Errorf("%s has %s rows, and the database %s", name, got, ask(t, o.DSN, count))
		}
	}
	says(t, string(files["bags.csv"]), "HOME-1", "2016-04-30")
	says(t, string(s.Page()), "season 2016", "Otso Invented", "bags on T1: 2 selfing bags and 1 control bag")
}
