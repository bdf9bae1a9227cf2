package app_test

import (
	"context"
	"io"
	"net/http"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/testpg"
)

// settingsRig is a program of which settings are changed by the page.
type settingsRig struct {
	*app.App
	t     *testing.T
	p     *programme
	box   *letterbox
	dsn   string
	state string
}

func newSettingsRig(t *testing.T, more string, options ...func(*app.Options)) *settingsRig {
	t.Helper()
	r := &settingsRig{t: t, box: &letterbox{}, dsn: testpg.New(t), state: t.TempDir()}
	r.p = newProgramme(t, relayAt(t, "", r.box, nil).Addr())
	r.p.more = "coordinator_deputy: ilmi\n" + more
	r.p.write(t)
	r.start(options...)
	until(t, r.App, "2016-04-10")
	return r
}

func (r *settingsRig) start(options ...func(*app.Options)) {
	r.t.Helper()
	o := app.Options{Dir: r.p.dir, State: r.state, DSN: r.dsn, Clock: civil.MustParse("2016-04-10")}
	for _, set := range options {
		set(&o)
	}
	a, err := start(r.t, o)
	if err != nil {
		r.t.Fatal(err)
	}
	r.App = a
	r.t.Cleanup(func() {
		if err := a.Close(context.Background()); err != nil {
			r.t.Error(err)
		}
	})
}

// page is what a browser sees.
type page struct {
	status int
	at     string // address that it ended at
	text   string
}

var tags = regexp.MustCompile(`(?s)<style>.*?</style>|<[^>]*>`)

// said is the words of a page.
func (p page) said() string {
	text := tags.ReplaceAllString(p.text, " ")
	for _, r := range [][2]string{{"&#39;", "'"}, {"&#34;", `"`}, {"&gt;", ">"}, {"&amp;", "&"}, {"&#43;", "+"}} {
		text = strings.ReplaceAll(text, r[0], r[1])
	}
	return strings.Join(strings.Fields(text), " ")
}

func (p page) hidden(name string) string {
	m := regexp.MustCompile(`name="` + name + `" value="([^"]*)"`).FindStringSubmatch(p.text)
	if m == nil {
		return ""
	}
	return m[1]
}

// deliver hands a mail over at the inbox's door, and lets everything that
// follows from it happen.
func (r *settingsRig) deliver(raw []byte) {
	r.t.Helper()
	if code := handOver(r.t, r.InboxAddr(), raw); code != 250 {
		r.t.Fatalf("refused with %d", code)
	}
	readAll(r.t, r.App)
	now, err := r.Next(r.t.Context())
	if err != nil {
		r.t.Fatal(err)
	}
	settled(r.t, r.App, now)
}

func (r *settingsRig) link(person string) string {
	r.t.Helper()
	b, err := app.Attach(r.t.Context(), app.Options{DSN: r.dsn, State: r.state})
	if err != nil {
		r.t.Fatal(err)
	}
	defer b.Close(context.Background())
	link, _, err := b.SettingsLink(r.t.Context(), r.state, person, "HOME")
	if err != nil {
		r.t.Fatal(err)
	}
	u, err := url.Parse(link)
	if err != nil {
		r.t.Fatal(err)
	}
	return r.Address() + u.Path
}

func (r *settingsRig) ask(method, at string, fields url.Values) page {
	r.t.Helper()
	req, err := http.NewRequestWithContext(r.t.Context(), method, at, strings.NewReader(fields.Encode()))
	if err != nil {
		r.t.Fatal(err)
	}
	if method == http.MethodPost {
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	answer, err := http.DefaultClient.Do(req)
	if err != nil {
		r.t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		r.t.Fatal(err)
	}
	return page{answer.StatusCode, answer.Request.URL.String(), string(body)}
}

func (r *settingsRig) get(at string) page { return r.ask(http.MethodGet, at, nil) }
func (r *settingsRig) post(at string, fields ...string) page {
	v := url.Values{}
	for i := 0; i+1 < len(fields); i += 2 {
		v.Set(fields[i], fields[i+1])
	}
	return r.ask(http.MethodPost, at, v)
}

// propose edits the file on the page that a link opens.
func (r *settingsRig) propose(link, text string) page {
	r.t.Helper()
	p := r.get(link)
	if p.status != http.StatusOK {
		r.t.Fatalf("%d: %s", p.status, p.said())
	}
	return r.post(link, "do", "see", "key", p.hidden("key"), "mark", p.hidden("mark"), "text", strings.ReplaceAll(text, "\n", "\r\n"))
}

func (r *settingsRig) file() string { return readFile(r.t, filepath.Join(r.p.dir, "sites/home.yml")) }

func (r *settingsRig) lead() int {
	s, _ := r.Programme().Site("HOME")
	return s.Settings.MaxLeadDays
}

// mail gives the last mail with words in its subject.
func (r *settingsRig) mail(subject string) (m taken, ok bool) {
	for _, one := range r.box.all() {
		if strings.Contains(one.subject, subject) {
			m, ok = one, true
		}
	}
	return m, ok
}

func (r *settingsRig) mails(day string) {
	r.t.Helper()
	until(r.t, r.App, day)
}
