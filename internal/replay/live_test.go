package replay_test

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"io"
	"log/slog"
	"maps"
	"net/http"
	"net/mail"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"budcall/internal/app"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/link"
	smtp "budcall/internal/mail"
	"budcall/internal/postgres"
	"budcall/internal/testpg"
	"budcall/internal/trail"
)

func TestMain(m *testing.M) { testpg.Main(m) }

// key signs the links of the live program and of the replay alike.
var key = []byte("0123456789abcdef0123456789abcdef")

// live is a running program in simulated time, with a mail sink.
type live struct {
	*app.App
	dir   string
	dsn   string
	moved func(at time.Time) // is told when the time moves; may be nil
	mu    sync.Mutex
	mail  map[string][]byte // as it arrived, by Message-ID
}

// start starts a program on a folder; the first letters of its relay setting
// are RELAY.
func start(t *testing.T, files map[string]string, from civil.Date) *live {
	t.Helper()
	l := &live{mail: map[string][]byte{}}
	sink, err := smtp.ServeSink(t.Context(), smtp.SinkOptions{Take: l.take})
	if err != nil {
		t.Fatal(err)
	}
	l.dir = folder(t, files, sink.Addr())
	l.dsn = testpg.New(t)
	state := t.TempDir()
	if err := os.WriteFile(filepath.Join(state, "link.key"), key, 0o600); err != nil {
		t.Fatal(err)
	}
	log := slog.New(slog.DiscardHandler)
	if testing.Verbose() {
		log = slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))
	}
	l.App, err = app.New(context.Background(), app.Options{Dir: l.dir, State: state, DSN: l.dsn, Clock: from, Version: "test", Logger: log})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := l.Close(context.Background()); err != nil {
			t.Error(err)
		}
	})
	if err := l.StepTo(t.Context(), from.In(time.UTC, 0, 0)); err != nil {
		t.Fatal(err)
	}
	return l
}

func (l *live) take(_, _ string, raw []byte) error {
	m, err := mail.ReadMessage(bytes.NewReader(raw))
	if err != nil {
		return err
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	if strings.HasPrefix(m.Header.Get("Subject"), "Overview") {
		return nil // a week's overview asks nothing of anybody: a replay writes none
	}
	l.mail[m.Header.Get("Message-Id")] = slices.Clone(raw)
	return nil
}

// playTo works off everything that falls due up to at, and moves the time there.
func (l *live) playTo(t *testing.T, at time.Time) {
	t.Helper()
	for {
		next, err := l.Next(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if next.After(at) {
			break
		}
		if l.moved != nil {
			l.moved(next)
		}
		if err := l.StepTo(t.Context(), next); err != nil {
			t.Fatal(err)
		}
	}
	if err := l.StepTo(t.Context(), at); err != nil {
		t.Fatal(err)
	}
}

var formLink = regexp.MustCompile(`http://127\.0\.0\.1:\d+/form/([A-Za-z0-9_-]+)\.[A-Za-z0-9_-]+`)

// form posts what is filled in to the form that the newest mail about a call
// at a site leads to.
func (l *live) form(t *testing.T, site string, task call.Task, filled url.Values) {
	t.Helper()
	var form string
	l.mu.Lock()
	for _, id := range slices.Sorted(maps.Keys(l.mail)) {
		body := strings.ReplaceAll(string(l.mail[id]), "=\r\n", "") // quoted-printable's soft breaks
		for _, found := range formLink.FindAllStringSubmatch(body, -1) {
			raw, err := base64.RawURLEncoding.DecodeString(found[1])
			var c link.Claim
			if err == nil && json.Unmarshal(raw, &c) == nil && c.Site == site && c.Task == string(task) {
				form = found[0]
			}
		}
	}
	l.mu.Unlock()
	if form == "" {
		t.Fatalf("no mail is about %s at %s", task, site)
	}
	r, err := http.Get(form)
	if err != nil {
		t.Fatal(err)
	}
	page, _ := io.ReadAll(r.Body)
	r.Body.Close()
	found := regexp.MustCompile(`name="key" value="([^"]+)"`).FindSubmatch(page)
	if found == nil {
		t.Fatalf("no form at %s:\n%s", form, page)
	}
	filled.Set("key", string(found[1]))
	if r, err = http.PostForm(form, filled); err != nil {
		t.Fatal(err)
	}
	page, _ = io.ReadAll(r.Body)
	r.Body.Close()
	if r.StatusCode != http.StatusOK {
		t.Fatalf("%s: %s", r.Status, page)
	}
}

// report stores what people say as the form does.
func (l *live) report(t *testing.T, name string, reports []trail.Report) {
	t.Helper()
	now, _, err := l.DB().Clock(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	reports = slices.Clone(reports)
	for i := range reports {
		reports[i].At = now
	}
	site := reports[0].Site
	then := postgres.Plan{
		Run:    postgres.Run{Name: "report", Day: civil.At(now.In(l.Programme().Zone)), Nominal: name, Due: now, At: now},
		Beside: true, Pieces: map[postgres.Phase][]string{postgres.Advance: {site}, postgres.Tell: {"all"}},
	}
	if _, err := l.DB().Report(t.Context(), name, now.Year(), reports, then); err != nil {
		t.Fatal(err)
	}
	if err := l.StepTo(t.Context(), now); err != nil {
		t.Fatal(err)
	}
}

// reports gives what was reported of the programme's sites in a season.
func (l *live) reports(t *testing.T, year int) (all []trail.Report) {
	t.Helper()
	err := l.DB().Read(t.Context(), func(b *postgres.Book) error {
		for _, s := range l.Programme().Sites {
			of, err := b.Reports(t.Context(), s.Code, year)
			if err != nil {
				return err
			}
			all = append(all, of...)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// folder writes the files of a programme.
func folder(t testing.TB, files map[string]string, relay string) string {
	t.Helper()
	dir := t.TempDir()
	for name, body := range files {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(strings.ReplaceAll(body, "RELAY", relay)), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}
