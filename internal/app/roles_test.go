package app_test

import (
	"context"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"budcall/internal/app"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/link"
	"budcall/internal/testpg"
	"budcall/internal/trail"
)

// roleRow says what the links of somebody open, as statuses of HTTP.
type roleRow struct {
	role, person    string
	bagOn, foreign  int // form of "bag on" at HOME, and at FARM
	lot             int // form of "lot expected" at HOME
	board, calendar int
	held            int // the question whether a mail is theirs that came from the lead of HOME
}

// Which links open what, by role. Whoever is named reports at their own sites,
// the coordinators everywhere, the laboratory what it received, the ops person
// nothing; everybody sees the board and their own calendar.
var roleRows = []roleRow{
	{"coordinator", "cora", 200, 200, 200, 200, 200, 404},
	{"coordinator's deputy", "dino", 200, 200, 200, 200, 200, 404},
	{"lead of the site", "lea", 200, 403, 200, 200, 200, 200},
	{"crew: deputy of the site", "cody", 200, 403, 200, 200, 200, 404},
	{"lead of another site", "fay", 403, 200, 403, 200, 200, 404},
	{"laboratory", "lab", 403, 403, 200, 200, 200, 404},
	{"ops person", "olga", 403, 403, 403, 200, 200, 404},
	{"known, without a role", "kim", 403, 403, 403, 200, 200, 404},
	{"not known any more", "gone", 404, 404, 404, 404, 404, 404},
}

// signer signs links with a program's key.
type signer struct {
	*app.App
	key []byte
}

// signerOf signs as the program does that keeps its key in a state folder.
func signerOf(t *testing.T, a *app.App, state string) signer {
	t.Helper()
	key, err := os.ReadFile(filepath.Join(state, "link.key"))
	if err != nil {
		t.Fatal(err)
	}
	return signer{a, key}
}

// claims are the links of somebody, in the order of roleRow's statuses.
func claims(person string, arrived int64, until time.Time) []link.Claim {
	form := func(site string, task call.Task) link.Claim {
		return link.Claim{Opens: "form", Person: person, Site: site, Task: string(task), Season: 2016, Expires: until}
	}
	return []link.Claim{
		form("HOME", call.BagOn), form("FARM", call.BagOn), form("HOME", call.LotExpected),
		{Opens: "board", Person: person, Expires: until}, link.Calendar(person, until), link.Held(person, arrived, until),
	}
}

// url is a claim's address, asked for without following anything.
func (s signer) url(c link.Claim) string {
	page := map[string]string{link.OpensCalendar: "calendar"}[c.Opens]
	if page == "" {
		page = c.Opens
	}
	return s.Address() + "/" + page + "/" + link.Sign(s.key, c)
}

func TestWhatTheLinksOfEachRoleOpen(t *testing.T) {
	p := newProgramme(t, relayAt(t, "127.0.0.1:0", &letterbox{}, nil).Addr())
	people := "people:\n"
	for _, r := range roleRows {
		if r.person != "gone" {
			people += "  - {code: " + r.person + ", name: " + r.person + " Invented, email: " + r.person + "@birches.example}\n"
		}
	}
	p.file(t, "people.yml", people)
	p.site(t, "FARM", "fay")
	p.site(t, "HOME", "lea\ndeputy: cody")
	p.more = "inbox:\n  lmtp: 127.0.0.1:0\ncoordinator_deputy: dino\nlaboratory: lab\n"
	p.write(t)
	p.file(t, "programme.yml", strings.NewReplacer("coordinator: maia", "coordinator: cora", "ops: maia", "ops: olga").Replace(p.read(t, "programme.yml")))
	o := app.Options{Dir: p.dir, DSN: testpg.New(t), State: t.TempDir(), Clock: civil.Of(2016, 4, 25)}
	a, err := start(t, o)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close(context.Background())
	until(t, a, "2016-05-03")
	raw := "From: lea@birches.example\r\nTo: calls@birches.example\r\nDate: Wed, 04 May 2016 12:00:00 +0300\r\nMessage-ID: <1@lea.example>\r\nContent-Type: text/plain\r\n\r\nT1 2+1\r\n"
	if code := handOver(t, a.InboxAddr(), []byte(raw)); code != 250 {
		t.Fatalf("answered %d", code)
	}
	readAll(t, a)
	s := signerOf(t, a, o.State)
	later := at("2016-05-20 12:00")
	names := []string{"bag on at HOME", "bag on at FARM", "lot expected at HOME", "board", "calendar", "mail of the lead"}
	for _, r := range roleRows {
		want := []int{r.bagOn, r.foreign, r.lot, r.board, r.calendar, r.held}
		for i, c := range claims(r.person, 1, later) {
			status, body := fetched(t, s.url(c))
			if status != want[i] {
				t.Errorf("%s, %s: %d, want %d\n%s", r.role, names[i], status, want[i], body)
			}
			if status != 200 && strings.Contains(body, "Invented") {
				t.Errorf("%s, %s: a refusal names somebody", r.role, names[i])
			}
		}
		s.posts(t, o, r)
	}
	s.ends(t, o, later)
}

// posts sends the form of "bag on" at HOME in, and holds what is stored to what
// the form may be opened by.
func (s signer) posts(t *testing.T, o app.Options, r roleRow) {
	t.Helper()
	form := s.url(claims(r.person, 1, at("2016-05-20 12:00"))[0])
	_, body := fetched(t, form)
	key := "K-" + r.person
	if m := regexp.MustCompile(`name="key" value="([^"]+)"`).FindStringSubmatch(body); m != nil {
		key = m[1]
	}
	resp, err := http.PostForm(form, url.Values{"key": {key}, "selfing.T1": {"2"}, "control.T1": {"1"}})
	if err != nil {
		t.Fatal(err)
	}
	resp.Body.Close()
	stored := ask(t, o.DSN, `select count(*)::text from report where person = $1 and kind = $2`, r.person, string(trail.BagsOn)) != "0"
	if may := r.bagOn == 200; stored != may || may != (resp.StatusCode < 400) {
		t.Errorf("%s reports bags by the form: answered %d, stored %t", r.role, resp.StatusCode, stored)
	}
}

// ends tries expired and withdrawn links of every role, a lost role, and links
// that are guessed.
func (s signer) ends(t *testing.T, o app.Options, later time.Time) {
	t.Helper()
	refused := func(sentence, person string, until time.Time, want int) {
		t.Helper()
		for _, c := range claims(person, 1, until) {
			if status, _ := fetched(t, s.url(c)); status != want {
				t.Errorf("%s, %s %s of %s: %d, want %d", sentence, c.Opens, c.Task, person, status, want)
			}
		}
	}
	for _, r := range roleRows {
		refused("expired", r.person, at("2016-05-03 12:00"), http.StatusGone)
	}
	forged := s
	forged.key = []byte("another key of thirty-two bytes…")
	for range 30 {
		fetched(t, forged.url(claims("cora", 1, later)[0]))
	}
	if status, _ := fetched(t, forged.url(claims("cora", 1, later)[0])); status != http.StatusTooManyRequests {
		t.Errorf("guessed often: %d", status)
	}
	if status, _ := fetched(t, s.url(claims("cora", 1, later)[0])); status != http.StatusOK {
		t.Errorf("a correct link while somebody guesses: %d", status)
	}
	for _, r := range roleRows {
		if r.person == "gone" {
			continue
		}
		beside(t, o, func(b *app.Beside) {
			if _, _, err := b.WithdrawLinks(t.Context(), r.person); err != nil {
				t.Fatal(err)
			}
		})
		refused("withdrawn", r.person, later, http.StatusGone)
	}
}

// Who isn't named for a site any more reports there no more, whatever links
// they were sent.
func TestALostRoleClosesTheForm(t *testing.T) {
	p := newProgramme(t, relayAt(t, "127.0.0.1:0", &letterbox{}, nil).Addr())
	o := app.Options{Dir: p.dir, DSN: testpg.New(t), State: t.TempDir(), Clock: civil.Of(2016, 4, 25)}
	a, err := start(t, o)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close(context.Background())
	until(t, a, "2016-04-26")
	form := signerOf(t, a, o.State).url(claims("otso", 1, at("2016-05-20 12:00"))[0])
	for _, row := range []struct {
		lead string
		want int
	}{{"otso", 200}, {"ilmi", 403}, {"otso", 200}} {
		p.site(t, "HOME", row.lead)
		if err := a.Look(t.Context()); err != nil {
			t.Fatal(err)
		}
		if status, _ := fetched(t, form); status != row.want {
			t.Errorf("while %s leads the site, the form of otso: %d, want %d", row.lead, status, row.want)
		}
	}
}
