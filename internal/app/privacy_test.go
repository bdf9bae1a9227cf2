package app_test

import (
	"encoding/base64"
	"log/slog"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"sync"
	"testing"

	smtp "budcall/internal/mail"
)

// written is a log that several write to.
type written struct {
	mu sync.Mutex
	b  strings.Builder
}

func (w *written) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.b.Write(p)
}

func (w *written) String() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.b.String()
}

// personal is what must not be read by who reads logs, metrics or addresses:
// names, mail addresses and numbers of anybody. A code such as "quuxla" is none.
var personal = regexp.MustCompile(`(?i)[a-z0-9._%+-]+@(?:birches|elsewhere|quux)\.example|pekka|quuxinen|p\.quux|(?:maia|ilmi) invented|457[ -]?111[ -]?2223|457[ -]?000[ -]?0001`)

// anyURL is a URL in a mail, as text or in HTML.
var anyURL = regexp.MustCompile(`(?:https?://|mailto:|webcal:)[^\s"'<>]+`)

// Mails come back, relays quote addresses, a configuration is bad, a webhook
// fails, strangers write and guess links: of nobody stands anything in the log,
// the metrics or a URL.
func TestLogsMetricsAndURLsTellOfNobody(t *testing.T) {
	log := &written{}
	s := livedByQuux(t, slog.New(slog.NewJSONHandler(log, &slog.HandlerOptions{Level: slog.LevelDebug})))
	relay := relayAt(t, "127.0.0.1:0", s.box, func(step smtp.Step) smtp.Answer {
		if step.Moment == smtp.AtRcpt && strings.HasPrefix(step.To, "p.quux") {
			return smtp.Answer{Code: 550, Text: "5.1.1 <" + step.To + ">: Pekka Quuxinen has left"}
		}
		return smtp.Answer{}
	})
	s.p.relay = relay.Addr()
	s.p.write(t)
	people := s.p.read(t, "people.yml")
	s.p.file(t, "people.yml", strings.NewReplacer(quuxEmail, "p.quux@@birches.example", quuxPhone, "ring Pekka").Replace(people))
	if err := s.Look(t.Context()); err == nil {
		t.Fatal("a bad configuration was accepted")
	}
	s.p.file(t, "people.yml", people)
	if err := s.Look(t.Context()); err != nil {
		t.Fatal(err)
	}
	until(t, s.App, "2016-05-22")
	if n := ask(t, s.o.DSN, `select count(*)::text from letter where state = 'refused'`); n == "0" {
		t.Error("no mail was refused: the test needs one")
	}
	for _, path := range []string{"/form/p.quux@birches.example", "/board/Pekka", "/nowhere/" + url.PathEscape(quuxName)} {
		resp, err := http.Get(s.Address() + path)
		if err != nil {
			t.Fatal(err)
		}
		resp.Body.Close()
	}

	said := strings.ReplaceAll(log.String(), "such as maia@birches.example", "") // the example of what is right
	says(t, said, "the configuration is not accepted", "people.yml")
	if strings.Contains(said, `problem:\n`) || strings.Contains(said, `problems:\n`) {
		t.Errorf("findings are escaped in one record:\n%s", said)
	}
	metrics, err := s.Scrape(t.Context())
	if err != nil || !strings.Contains(metrics, "budcall_") {
		t.Fatalf("%q, %v", metrics, err)
	}
	var urls []string
	for _, m := range s.box.all() {
		urls = append(urls, anyURL.FindAllString(m.text, -1)...)
	}
	if len(urls) < 50 {
		t.Fatalf("%d URLs in %d mails", len(urls), len(s.box.all()))
	}
	for name, text := range map[string]string{"log": said, "metrics": metrics} {
		for line := range strings.Lines(text) {
			if m := personal.FindString(line); m != "" {
				t.Errorf("%q stands in the %s: %s", m, name, line)
			}
		}
	}
	for _, u := range urls {
		plain, err := url.QueryUnescape(u)
		if err != nil {
			plain = u
		}
		for _, m := range coded.FindAllString(u, -1) {
			if claim, err := base64.RawURLEncoding.DecodeString(m); err == nil {
				plain += " " + string(claim)
			}
		}
		plain = strings.ReplaceAll(plain, "calls@birches.example", "") // the program's own address
		if m := personal.FindString(plain); m != "" {
			t.Errorf("%q stands in a URL: %s", m, plain)
		}
	}
	for _, e := range s.hook.Events() { // they go to other programs
		if m := personal.Find(e.Body); m != nil {
			t.Errorf("%q is told to a webhook: %s", m, e.Body)
		}
	}
}
