package app_test

import (
	"bytes"
	"context"
	"io"
	"log/slog"
	"net/http"
	"net/mail"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"budcall/internal/app"
	"budcall/internal/call"
	"budcall/internal/civil"
	smtp "budcall/internal/mail"
	"budcall/internal/postgres"
	"budcall/internal/testpg"
)

func TestMain(m *testing.M) { testpg.Main(m) }

// letterbox keeps the mails that the sink takes.
type letterbox struct {
	mu    sync.Mutex
	mails []taken
}

type taken struct{ to, subject, text string }

func (l *letterbox) take(_, to string, raw []byte) error {
	_, subject, text, err := letterOf(raw)
	if err != nil {
		return err
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	l.mails = append(l.mails, taken{to, subject, text})
	return nil
}

// letterOf gives what a test looks at in a mail.
func letterOf(raw []byte) (id, subject, text string, err error) {
	m, err := mail.ReadMessage(bytes.NewReader(raw))
	if err != nil {
		return "", "", "", err
	}
	body, err := io.ReadAll(m.Body)
	if err != nil {
		return "", "", "", err
	}
	subject, err = decodeHeader(m.Header.Get("Subject"))
	return m.Header.Get("Message-Id"), subject, plain(body), err
}

func (l *letterbox) all() []taken {
	l.mu.Lock()
	defer l.mu.Unlock()
	return append([]taken(nil), l.mails...)
}

// oneSite writes a configuration of one site whose station is a file.
func oneSite(t *testing.T, relay, station string) string {
	t.Helper()
	dir := t.TempDir()
	profile, err := os.ReadFile("../../config/profiles/silver-birch.yml")
	if err != nil {
		t.Fatal(err)
	}
	for name, body := range map[string]string{
		"programme.yml": "code: ONE\nname: One site (invented)\nzone: Europe/Helsinki\ncoordinator: maia\nops: maia\nlisten: 127.0.0.1:0\nmetrics: 127.0.0.1:0\n" +
			"mail:\n  relay: " + relay + "\n  tls: none\n  from: calls@birches.example\n",
		"people.yml": "people:\n  - code: maia\n    name: Maia Invented\n    email: maia@birches.example\n    phone: \"+358 457 000 0001\"\n" +
			"  - code: otso\n    name: Otso Invented\n    email: otso@birches.example\n",
		"stations.yml": "stations:\n  - code: MET\n    name: Helsinki-Vantaa\n    lat_deg: 60.33\n    lon_deg: 24.97\n    altitude_m: 51\n    format: delimited\n    path: " + station + "\n    unit: C\n",
		"sites/home.yml": "code: HOME\nname: Kotimäki\nlat_deg: 60.3\nlon_deg: 25.0\naltitude_m: 51\nprofile: silver-birch\nstations: [MET]\nlead: otso\n" +
			"trees:\n  - code: H-001\n    short: T1\n  - code: H-002\n    short: T2\n",
		"profiles/silver-birch.yml": string(profile),
	} {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(body), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// shared gives a real series, read in place, or skips.
func shared(t *testing.T, name string) string {
	t.Helper()
	root := os.Getenv("BUDCALL_SHARED")
	if root == "" {
		root = "../../../shared"
	}
	path, err := filepath.Abs(filepath.Join(root, name))
	if err == nil {
		_, err = os.Stat(path)
	}
	if err != nil {
		t.Skipf("real data are absent: %v (name their folder in BUDCALL_SHARED)", err)
	}
	return path
}

func open(t *testing.T, dir string, day string, dsn string) *app.App {
	t.Helper()
	log := slog.New(slog.DiscardHandler)
	if testing.Verbose() {
		log = slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))
	}
	a, err := app.New(context.Background(), app.Options{
		Dir: dir, State: t.TempDir(), DSN: dsn, Clock: civil.MustParse(day), Version: "test", Logger: log,
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := a.Close(context.Background()); err != nil {
			t.Error(err)
		}
	})
	return a
}

// until steps the simulated time on to the end of a day.
func until(t *testing.T, a *app.App, day string) {
	t.Helper()
	end := (civil.MustParse(day) + 1).In(time.UTC, 0, 0)
	for {
		next, err := a.Next(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if !next.Before(end) {
			return
		}
		if err := a.StepTo(t.Context(), next); err != nil {
			t.Fatal(err)
		}
	}
}

func standing(t *testing.T, a *app.App, site string, task call.Task) (s call.Standing) {
	t.Helper()
	err := a.DB().Read(t.Context(), func(b *postgres.Book) error {
		calls, err := b.Calls(t.Context(), site, 2016)
		s = calls[task].Standing
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// letterID is a letter's ID: its time and a keyed digest.
var letterID = regexp.MustCompile(`\b\d{8}T\d{6}-[a-z2-7]{13}\b`)

// anyLink is a signed link of any page; linkInMail is that of a form.
var (
	anyLink    = regexp.MustCompile(`http://127\.0\.0\.1:\d+/[a-z]+/[A-Za-z0-9_.-]+`)
	linkInMail = regexp.MustCompile(`http://127\.0\.0\.1:\d+/form/[A-Za-z0-9_.-]+`)
)

// The gate: one site on real Helsinki data, spring 2016, from slot to mail to
// form to done. The dates it is held to are the issue's, computed from the
// series beforehand.
func TestASpringAtHelsinkiFromStationFileToDone(t *testing.T) {
	box := &letterbox{}
	sink, err := smtp.ServeSink(t.Context(), smtp.SinkOptions{Take: box.take})
	if err != nil {
		t.Fatal(err)
	}
	dir := oneSite(t, sink.Addr(), shared(t, "data/daily_helsinki_vantaa_1952-2017.csv"))
	dsn := testpg.New(t)
	a := open(t, dir, "2016-02-15", dsn)

	until(t, a, "2016-04-28")
	var bag taken
	for _, m := range box.all() {
		t.Logf("%s: %s", m.to, m.subject)
		if strings.Contains(m.subject, "Bag on") {
			bag = m
		}
	}
	if bag.to != "otso@birches.example" {
		t.Fatalf("no mail called for bagging: %d mails", len(box.all()))
	}
	link := linkInMail.FindString(bag.text)
	form := get(t, link)
	key := regexp.MustCompile(`name="key" value="([^"]+)"`).FindStringSubmatch(form)
	if key == nil {
		t.Fatalf("the form has no key:\n%s", form)
	}
	answer, err := http.PostForm(link, url.Values{
		"key": {key[1]}, "selfing.T1": {"2"}, "control.T1": {"1"}, "selfing.T2": {"3"}, "control.T2": {"1"},
	})
	if err != nil {
		t.Fatal(err)
	}
	page, _ := io.ReadAll(answer.Body)
	answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		t.Fatalf("%s\n%s", answer.Status, page)
	}
	until(t, a, "2016-04-29")
	if got := standing(t, a, "HOME", call.BagOn); got != call.Done {
		t.Errorf("after the report bagging stands %q", got)
	}
}

func get(t *testing.T, link string) string {
	t.Helper()
	r, err := http.Get(link)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	if err != nil || r.StatusCode != http.StatusOK {
		t.Fatalf("%s %v\n%s", r.Status, err, body)
	}
	return string(body)
}
