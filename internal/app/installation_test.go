package app_test

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"budcall/internal/app"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/trail"
)

const (
	northern, southern = "north@trees.example", "south@trees.example"

	lettersOf  = `select coalesce(string_agg(id || ' ' || target || ' ' || state, E'\n' order by id), '') from letter`
	reportsAll = `select count(*)::text from report`
	// days on which a person had more than one mail with calls
	twiceADay = `select coalesce(string_agg(target || ' ' || day, ', '), '') from
		(select target, (written_at at time zone 'Europe/Helsinki')::date as day from letter where channel = 'mail' and kind = 'calls' group by 1, 2 having count(*) > 1) d`
	formLink = `select content->'items'->0->>'link' from letter where target = 'otso' and kind in ('calls', 'passed') order by written_at desc, id limit 1`
)

// Two programmes for two species in one process, with one person in both and
// the same codes of site and tree, live through a spring.
func TestTwoProgrammesOfTwoSpeciesInOneInstallation(t *testing.T) {
	p := newPair(t)
	o := app.Options{Clock: civil.Of(2016, 2, 20)}
	i, stop := p.started(t, o)
	both := i.Apps()
	for day := civil.Of(2016, 2, 27); day <= civil.Of(2016, 4, 30); day += 7 { // side by side, a week at a time
		until(t, both[0], day.String())
		until(t, both[1], day.String())
	}
	north, south := p.dsn("budcall_north"), p.dsn("budcall_south")
	eachGetsItsOwn(t, p)
	for _, dsn := range []string{north, south} {
		if twice := ask(t, dsn, twiceADay); twice != "" {
			t.Errorf("more than one mail with calls a day: %s", twice)
		}
	}
	// Alders need less heat (by the invented numbers), so their bags go on first.
	first := func(dsn string) string {
		return ask(t, dsn, `select min(written_at)::date::text from letter l where exists (select from jsonb_array_elements(l.content->'items') i where i->>'task' = 'bag on')`)
	}
	if a, b := first(south), first(north); a >= b {
		t.Errorf("the south is first told of bags on %s, the north on %s", a, b)
	}
	linksStayApart(t, p, i)
	repliesStayApart(t, p, i)

	for _, a := range both { // receipts are on their way
		until(t, a, "2016-05-01")
	}

	knownElsewhere(t, p)

	// Another start: everything is as it was, and nothing is told twice.
	was := map[string]string{north: ask(t, north, lettersOf), south: ask(t, south, lettersOf)}
	mails := len(p.post.from(northern)) + len(p.post.from(southern))
	stop()
	i, _ = p.started(t, o)
	for dsn, letters := range was {
		if now := ask(t, dsn, lettersOf); now != letters {
			t.Errorf("after another start the letters are\n%s\nand were\n%s", now, letters)
		}
	}
	if n := len(p.post.from(northern)) + len(p.post.from(southern)); n != mails {
		t.Errorf("%d mails after another start, %d before", n, mails)
	}
	for n, a := range i.Apps() {
		until(t, a, "2016-05-14")
		dsn := []string{north, south}[n]
		if now := ask(t, dsn, lettersOf); !strings.Contains(now, was[dsn][:20]) || now == was[dsn] {
			t.Errorf("it doesn't go on: %s", now)
		}
	}
	eachGetsItsOwn(t, p)
}

// eachGetsItsOwn holds every mail to the programme that sent it.
func eachGetsItsOwn(t *testing.T, p *pair) {
	t.Helper()
	for _, row := range []struct {
		sender, own, other string
		never              []string // in any of its mails
		to                 []string // everybody who gets mail
	}{
		{northern, "/north/", "/south/", []string{"Southern", "south@", "The south", "alder"}, []string{"maia@north.example", "otso@both.example"}},
		{southern, "/south/", "/north/", []string{"Northern", "north@", "The north", "birch", "Birch", "Betula"}, []string{"maia@south.example", "otso@both.example"}},
	} {
		got := map[string]bool{}
		asked, linked := false, false
		for _, m := range p.post.from(row.sender) {
			got[m.to] = true
			asked = asked || m.to == "otso@both.example" && strings.Contains(m.subject, "Bag on")
			linked = linked || strings.Contains(m.text, "http://"+p.listen+row.own+"form/")
			for _, word := range append(row.never, "http://"+p.listen+row.other) {
				if strings.Contains(m.text+m.subject, word) {
					t.Errorf("a mail of %s, %q, says %q:\n%.4000s", row.sender, m.subject, word, m.text)
					return
				}
			}
		}
		if !asked || !linked {
			t.Errorf("%s: asked to bag %t, with a link %t", row.sender, asked, linked)
		}
		for _, to := range row.to {
			if !got[to] {
				t.Errorf("%s has no mail of %s", to, row.sender)
			}
			delete(got, to)
		}
		if len(got) > 0 {
			t.Errorf("mails of %s went to %v too", row.sender, got)
		}
	}
}

// linksStayApart opens the links of each programme under its own path and under
// the other's, and reports through one of them.
func linksStayApart(t *testing.T, p *pair, i *app.Installation) {
	t.Helper()
	where := i.Where()
	if where[0].Pages != "http://"+p.listen+"/north" || where[1].Pages != "http://"+p.listen+"/south" {
		t.Errorf("the pages are at %+v", where)
	}
	north, south := p.dsn("budcall_north"), p.dsn("budcall_south")
	links := map[string]string{}
	for name, o := range map[string]app.Options{"north": p.options(t, "NORTH"), "south": p.options(t, "SOUTH")} {
		beside(t, o, func(b *app.Beside) {
			board, _, err := b.BoardLink(t.Context(), o.State, "otso", 30)
			if err != nil {
				t.Fatal(err)
			}
			calendar, _, err := b.CalendarLink(t.Context(), o.State, "otso", 30)
			if err != nil {
				t.Fatal(err)
			}
			links[name+" board"], links[name+" calendar"] = board, calendar
		})
	}
	links["north form"], links["south form"] = ask(t, north, formLink), ask(t, south, formLink)
	for name, link := range links {
		if status, body := fetched(t, link); status != http.StatusOK {
			t.Errorf("%s: %d\n%s", name, status, body)
		}
		forged := strings.Replace(link, "/north/", "/x/", 1)
		forged = strings.Replace(forged, "/south/", "/north/", 1)
		forged = strings.Replace(forged, "/x/", "/south/", 1)
		if status, body := fetched(t, forged); forged == link || status != http.StatusForbidden || strings.Contains(body, "Otso") {
			t.Errorf("%s under the other programme: %d\n%s", name, status, body)
		}
	}
	if status, body := fetched(t, "http://"+p.listen+"/"); status != http.StatusNotFound || strings.Contains(strings.ToLower(body), "north") {
		t.Errorf("the root: %d\n%s", status, body)
	}
	if status, body := fetched(t, "http://"+p.listen+"/south/"); status != http.StatusOK || !strings.Contains(body, "The south") || strings.Contains(body, "The north") {
		t.Errorf("the open board of the south: %d", status)
	}
	// A report through the north's form is the north's alone, though the tree T1 and otso are in both.
	_, form := fetched(t, links["north form"])
	key := regexp.MustCompile(`name="key" value="([^"]+)"`).FindStringSubmatch(form)
	if key == nil {
		t.Fatalf("the form has no key:\n%s", form)
	}
	before := ask(t, south, reportsAll)
	for _, row := range []struct {
		link   string
		status int
	}{{links["north form"], http.StatusOK}, {strings.Replace(links["north form"], "/north/", "/south/", 1), http.StatusForbidden}} {
		r, err := http.PostForm(row.link, url.Values{"key": {key[1]}, "selfing.T1": {"2"}, "control.T1": {"1"}})
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		if r.StatusCode != row.status {
			t.Errorf("the form at %.40s: %d, want %d", row.link, r.StatusCode, row.status)
		}
	}
	if n, s := ask(t, north, reportsAll), ask(t, south, reportsAll); n != "1" || s != before {
		t.Errorf("%s reports in the north, %s in the south (%s before), want 1 and no more", n, s, before)
	}
	// Beside the program, by the command's way in: T1 is the tree of the programme that was meant.
	saidBy(t, p.options(t, "SOUTH"), app.Said{Site: "HOME", Person: "otso", Task: call.BagOn, Kind: trail.CatkinsSeen, Trees: []string{"T1"}, Count: 120})
	if n := ask(t, north, `select count(*)::text from report where kind = 'catkins seen'`); n != "0" {
		t.Errorf("%s reports of the south in the north", n)
	}
}

// repliesStayApart hands an answer to a mail of the north to the inbox of the
// south, and then to its own.
func repliesStayApart(t *testing.T, p *pair, i *app.Installation) {
	t.Helper()
	north, south := p.dsn("budcall_north"), p.dsn("budcall_south")
	var call posted
	for _, m := range p.post.from(northern) {
		if m.to == "otso@both.example" && strings.Contains(m.subject, "Bag on") {
			call = m
		}
	}
	before := ask(t, north, reportsAll) + " " + ask(t, south, reportsAll)
	reply := func(a *app.App, id string) {
		raw := "From: otso@both.example\r\nTo: " + northern + "\r\nSubject: Re: " + call.subject + "\r\nIn-Reply-To: " + call.id +
			"\r\nMessage-ID: <" + id + "@both.example>\r\nDate: Sat, 30 Apr 2016 12:00:00 +0300\r\nContent-Type: text/plain\r\n\r\nT1 3+1\r\n"
		if code := handOver(t, a.InboxAddr(), []byte(raw)); code != 250 {
			t.Fatalf("answered %d", code)
		}
		readAll(t, a)
	}
	reply(i.Apps()[1], "1")
	if now := ask(t, north, reportsAll) + " " + ask(t, south, reportsAll); now != before {
		t.Errorf("an answer to the north that reached the south is a report: %s, before %s", now, before)
	}
	reply(i.Apps()[0], "2")
	if now := ask(t, north, reportsAll); now != "2" {
		t.Errorf("%s reports in the north after its own answer, want 2 (%s before)", now, before)
	}
}

// knownElsewhere holds who is said to be in the other programme too to the mail
// addresses: maia is another person there, under the same code.
func knownElsewhere(t *testing.T, p *pair) {
	t.Helper()
	o := p.options(t, "NORTH")
	beside(t, o, func(b *app.Beside) {
		for person, want := range map[string][]app.Named{"otso": {{Programme: "SOUTH", Person: "otso"}}, "maia": nil, "ilmi": nil, "nobody": nil} {
			if got, err := b.Elsewhere(t.Context(), o, person); err != nil || !slices.Equal(got, want) {
				t.Errorf("%s: %v (%v), want %v", person, got, err, want)
			}
		}
	})
}

// options are those by which a command finds a programme's memory.
func (p *pair) options(t *testing.T, code string) app.Options {
	t.Helper()
	o, err := app.Locate(app.Options{State: p.state}, code, false)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func TestNumbersOfBothProgrammesAreAtOneAddress(t *testing.T) {
	p := newPair(t)
	i, _ := p.started(t, app.Options{Clock: civil.Of(2016, 2, 20)})
	for _, a := range i.Apps() {
		if _, err := a.Scrape(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	status, scrape := fetched(t, "http://"+p.north.metrics+"/metrics")
	if status != http.StatusOK {
		t.Fatalf("%d", status)
	}
	says(t, scrape, `budcall_ready{programme="NORTH"}`, `budcall_ready{programme="SOUTH"}`, `budcall_calls{programme="SOUTH",standing="go",task="bag on"} 0`)
	if n := strings.Count(scrape, "\nbudcall_build_info{"); n != 1 {
		t.Errorf("the process is told %d times", n)
	}
	if _, err := os.Stat(filepath.Join(p.state, "NORTH", "link.key")); err != nil {
		t.Error(err)
	}
	keys := map[string]bool{}
	for _, code := range []string{"NORTH", "SOUTH"} {
		key, err := os.ReadFile(filepath.Join(p.state, code, "link.key"))
		if err != nil {
			t.Fatal(err)
		}
		keys[string(key)] = true
	}
	if len(keys) != 2 {
		t.Error("both sign their links by the same key")
	}
}
