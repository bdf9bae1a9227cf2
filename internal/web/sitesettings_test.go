package web_test

import (
	"context"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/link"
	"budcall/internal/notice"
	"budcall/internal/web"
	"budcall/internal/words"
)

const kolmiFile = "# A site. Invented.\n\ncode: KOLMI\nname: Kolmivaara\nlead: ada\ntrees:\n  - {code: KV-017, short: T1}\ncalls:\n  max_lead_days: 28 # <as usual>\n"

// settingsDesk is a place for settings in memory: of one site, with one
// proposal, number 7.
type settingsDesk struct {
	change   web.SiteChange
	edits    map[string]bool
	made     web.Proposal // the answer to an edit
	hinders  web.Hindrance
	decided  []web.Decision
	all      bool
	stranger bool
	down     bool
}

func (d *settingsDesk) SiteSettings(_ context.Context, c link.Claim, change int64) (web.SiteSettings, bool, error) {
	if d.down {
		return web.SiteSettings{}, false, errDown
	}
	s := web.SiteSettings{
		Lang: "en", Person: "Ada Nordlund", SiteName: "Kolmivaara", Text: kolmiFile, Mark: "mark-of-the-file", All: d.all, Stranger: d.stranger, Approval: !d.all,
		Allowed: []config.Allowed{{Key: "max_lead_days", Low: "14", High: "35"}, {Key: "season_end", Low: "1 September", High: "31 October"}}, Lines: []string{"deputy", "name"},
	}
	if change == 7 {
		ch := d.change
		s.Change = &ch
	}
	return s, c.Site == "kolmi" && (change == 0 || change == 7), nil
}

func (d *settingsDesk) ProposeSettings(_ context.Context, _ link.Claim, e web.Edit) (web.Proposal, error) {
	if d.edits == nil {
		d.edits = map[string]bool{}
	}
	d.edits[e.Key] = true
	return d.made, nil
}

func (d *settingsDesk) DecideSettings(_ context.Context, _ link.Claim, say web.Decision) (web.Hindrance, error) {
	d.decided = append(d.decided, say)
	return d.hinders, nil
}

func newSettingsDesk(standing string) *settingsDesk {
	after := strings.Replace(kolmiFile, "28", "21", 1)
	day := func(s string) civil.Date { return civil.MustParse("2031-" + s) }
	return &settingsDesk{change: web.SiteChange{
		ID: 7, By: "Ada Nordlund", At: noon, Text: after, Mark: "mark-of-the-file", Difference: config.Difference([]byte(kolmiFile), []byte(after)), Standing: standing,
		Written: true, MayTake: true, Preview: notice.Preview{
			Changed: []config.Changed{{Path: "calls.max_lead_days", Before: "28", After: "21"}}, Mails: 2,
			Days:    []notice.MovedDays{{Task: call.BagOn, Before: civil.Range{First: day("05-02"), Last: day("05-07")}, After: civil.Range{First: day("05-04"), Last: day("05-08")}}},
			Springs: notice.Springs{Played: 10, Before: notice.SpringSum{Trips: 20}, After: notice.SpringSum{Trips: 23}},
		},
	}}
}

func settingsPath() string {
	return "/settings/" + link.Sign(key, link.Settings("ada", "kolmi", noon.AddDate(0, 0, 20)))
}

func settingsHandler(d *settingsDesk) *web.Pages {
	p := web.New(web.Options{Store: newMemory(call.BagOn), Settings: d, Key: key, Version: "v0"})
	p.WithKeys(func() string { return "KEY" })
	return p
}

// settingsScene is a page of settings, and the place behind it.
type settingsScene struct {
	desk  *settingsDesk
	path  string
	sends url.Values // nil: it is only opened
}

// settingsScenes are the pages of settings that are looked at, by name.
func settingsScenes() map[string]settingsScene {
	edit := settingsScene{newSettingsDesk("proposed"), settingsPath(), nil}
	problems := settingsScene{newSettingsDesk("proposed"), settingsPath(), url.Values{"do": {"see"}, "text": {kolmiFile + "  max_led: 3\n"}}}
	problems.desk.made.Problems = []config.Problem{
		{Line: 10, Path: "calls.max_led", What: "unknown setting", Cure: "did you mean max_lead_days?"},
		{File: "sites/other.yml", Line: 4, Path: "trees[0].code", What: "KV-017 is already the code of the tree in sites/kolmi.yml:7", Cure: "give each its own"},
	}
	stale := settingsScene{newSettingsDesk("proposed"), settingsPath(), url.Values{"do": {"see"}, "mark": {"older"}, "text": {kolmiFile}}}
	stale.desk.made = web.Proposal{Stale: true, Moved: config.Difference([]byte(kolmiFile), []byte(strings.Replace(kolmiFile, "ada", "bo", 1)))}
	decide := settingsScene{newSettingsDesk("waiting"), settingsPath() + "?change=7", nil}
	decide.desk.all, decide.desk.change.MayDecide, decide.desk.change.MayTake = true, true, false
	refused := settingsScene{newSettingsDesk("refused"), settingsPath() + "?change=7", nil}
	refused.desk.change.Why = "Three weeks are <too> few."
	folder := settingsScene{newSettingsDesk("proposed"), settingsPath(), url.Values{"do": {"take"}, "change": {"7"}}}
	folder.desk.hinders = web.Hindrance{Key: words.SettingsFolder, Said: "the program may not write into /etc/budcall/sites"}
	return map[string]settingsScene{
		"settings-edit": edit, "settings-problems": problems, "settings-stale": stale, "settings-decide": decide, "settings-refused": refused, "settings-folder": folder,
		"settings-preview":  {newSettingsDesk("proposed"), settingsPath() + "?change=7", nil},
		"settings-waiting":  {newSettingsDesk("waiting"), settingsPath() + "?change=7", nil},
		"settings-in-force": {newSettingsDesk("accepted"), settingsPath() + "?change=7", nil},
		"settings-again":    {newSettingsDesk("refused"), settingsPath() + "?edit=7", nil},
	}
}

// settingsPages gives the pages of settings, by name.
func settingsPages(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{}
	for name, s := range settingsScenes() {
		if s.sends == nil {
			out[name] = get(t, settingsHandler(s.desk), s.path).Body.String()
		} else {
			out[name] = post(t, settingsHandler(s.desk), s.path, s.sends).Body.String()
		}
	}
	return out
}

func TestWhatThePageOfSettingsAnswers(t *testing.T) {
	for _, row := range []struct {
		sentence string
		method   string
		path     string
		fields   string
		change   func(*settingsDesk)
		status   int
		follows  string
	}{
		{"the file is shown", "GET", "", "", nil, 200, ""},
		{"opened by a scanner", "HEAD", "", "", nil, 200, ""},
		{"a proposal is shown", "GET", "?change=7", "", nil, 200, ""},
		{"one that there isn't", "GET", "?change=8", "", nil, 404, ""},
		{"somebody of another site", "GET", "", "", func(d *settingsDesk) { d.stranger = true }, 403, ""},
		{"the database is away", "GET", "", "", func(d *settingsDesk) { d.down = true }, 503, ""},
		{"an edit is kept and led to", "POST", "", "do=see&text=x", func(d *settingsDesk) { d.made.ID = 7 }, 303, "?change=7"},
		{"one sent by Enter, which names no button", "POST", "", "text=x", func(d *settingsDesk) { d.made.ID = 7 }, 303, "?change=7"},
		{"one with problems", "POST", "", "do=see&text=x", func(d *settingsDesk) { d.made.Problems = []config.Problem{{What: "it is odd"}} }, 422, ""},
		{"one that changes nothing", "POST", "", "do=see&text=x", func(d *settingsDesk) { d.made.Unchanged = true }, 422, ""},
		{"a stale one", "POST", "", "do=see&text=x", func(d *settingsDesk) { d.made.Stale = true }, 409, ""},
		{"a proposal is taken", "POST", "", "do=take&change=7", nil, 303, "?change=7"},
		{"it is hindered", "POST", "", "do=approve&change=7", func(d *settingsDesk) { d.hinders.Key = words.SettingsDecided }, 409, ""},
		{"nobody knows what to do", "POST", "", "do=burn&change=7", nil, 400, ""},
		{"a decision on nothing", "POST", "", "do=take", nil, 400, ""},
		{"a decision on what there isn't", "POST", "", "do=take&change=8", nil, 404, ""},
		{"an edit by somebody of another site", "POST", "", "do=see&text=x", func(d *settingsDesk) { d.stranger = true }, 403, ""},
		{"more than the page takes", "POST", "", "do=see&text=" + strings.Repeat("x", 500_000), nil, 413, ""},
		{"another method", "PUT", "", "", nil, 405, ""},
	} {
		t.Run(row.sentence, func(t *testing.T) {
			d := newSettingsDesk("proposed")
			if row.change != nil {
				row.change(d)
			}
			r := httptest.NewRequest(row.method, settingsPath()+row.path, strings.NewReader(row.fields))
			if row.method == http.MethodPost {
				r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			}
			w := do(settingsHandler(d), r)
			if w.Code != row.status || w.Header().Get("Location") != row.follows {
				t.Errorf("%d %q, want %d %q\n%.400s", w.Code, w.Header().Get("Location"), row.status, row.follows, w.Body)
			}
			if row.status >= 400 && (row.method != http.MethodPost || row.status == 403 || row.status == 413) && len(d.edits)+len(d.decided) > 0 {
				t.Error("something came of it all the same")
			}
		})
	}
}

// The same edit has the same key, however the link was signed; another has
// another.
func TestAnEditSentTwiceIsOne(t *testing.T) {
	d := newSettingsDesk("proposed")
	d.made.ID = 7
	h := settingsHandler(d)
	later := "/settings/" + link.Sign(key, link.Settings("ada", "kolmi", noon.AddDate(0, 0, 30)))
	for i, fields := range []string{"key=A&mark=m&text=x", "key=A&mark=m&text=x", "key=A&mark=m&text=xy", "key=B&mark=m&text=x", "key=A&mark=mx&text=", "key=A&mark=m&text=x"} {
		in, err := url.ParseQuery(fields)
		if err != nil {
			t.Fatal(err)
		}
		path := settingsPath()
		if i == 5 {
			path = later
		}
		post(t, h, path, in)
	}
	if len(d.edits) != 4 {
		t.Errorf("%d edits, want 4: %v", len(d.edits), d.edits)
	}
}

// What a person reads on the page, in every language: no key, no brace, no
// script; and what was typed comes back as it was.
func TestThePageOfSettingsKeepsWhatWasTyped(t *testing.T) {
	nasty := "name: \"</textarea><script>alert(1)</script>\" # {site} & <b>\n"
	d := newSettingsDesk("proposed")
	d.made.Problems = []config.Problem{{Line: 1, What: "<b>odd</b>"}}
	page := post(t, settingsHandler(d), settingsPath(), url.Values{"do": {"see"}, "mark": {"\"><b>"}, "text": {nasty}}).Body.String()
	if strings.Contains(page, "<script") || strings.Contains(page, "<b>") {
		t.Error("what was typed is taken for the page")
	}
	if !strings.Contains(page, "{site} &amp; &lt;b&gt;") {
		t.Error("what was typed isn't there")
	}
}

// From the file to its proposal in a browser, by the keyboard alone.
func TestSettingsAreProposedByTheKeyboardAlone(t *testing.T) {
	d := newSettingsDesk("proposed")
	d.made.ID = 7
	s := httptest.NewServer(settingsHandler(d))
	defer s.Close()
	b := openBrowser(t)
	b.size(390, 2)
	b.open(s.URL + settingsPath())
	var text string
	b.eval(`document.querySelector('#f-text').value`, &text)
	if text != kolmiFile {
		t.Errorf("the file is shown as %q", text)
	}
	b.eval(`document.querySelector('button').focus()`, nil)
	b.press("Enter")
	b.loaded()
	var at struct{ Search string }
	b.eval(focused, &at)
	if at.Search != "?change=7" || len(d.edits) != 1 {
		t.Errorf("after Enter %q, %d edits", at.Search, len(d.edits))
	}
	b.eval(`document.querySelector('button[value=take]').focus()`, nil)
	b.press("Enter")
	b.loaded()
	if len(d.decided) != 1 || d.decided[0] != (web.Decision{Change: 7, Do: "take"}) {
		t.Errorf("decided %+v", d.decided)
	}
	b.eval(`document.querySelector('button.second').focus()`, nil)
	b.press("Enter")
	b.loaded()
	b.eval(`location.search`, &at.Search)
	if at.Search != "?edit=7" {
		t.Errorf("to change it once more leads to %q", at.Search)
	}
}
