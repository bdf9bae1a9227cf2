package inbox_test

import (
	"context"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"budcall/internal/inbox"
)

// memory is what a database does: each key once.
type memory struct {
	mu     sync.Mutex
	mails  map[inbox.Key]inbox.Arrived
	order  []inbox.Key
	calls  int
	came   chan struct{}               // one for each call that succeeded
	refuse func(a inbox.Arrived) error // nil: nothing is refused
	events map[inbox.Event]int
}

func newMemory() *memory {
	return &memory{mails: map[inbox.Key]inbox.Arrived{}, events: map[inbox.Event]int{}, came: make(chan struct{}, 1000)}
}

func (m *memory) keep(_ context.Context, a inbox.Arrived) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.calls++
	if m.refuse != nil {
		if err := m.refuse(a); err != nil {
			return err
		}
	}
	if _, ok := m.mails[a.Key]; !ok {
		m.mails[a.Key] = a
		m.order = append(m.order, a.Key)
	}
	m.came <- struct{}{}
	return nil
}

func (m *memory) count(e inbox.Event) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.events[e]++
}

func (m *memory) counted(e inbox.Event) int {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.events[e]
}

// kept gives the mails in the order in which they were first kept.
func (m *memory) kept() (all []inbox.Arrived) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, k := range m.order {
		all = append(all, m.mails[k])
	}
	return all
}

// patience is how long a test waits for what must come: beyond anything that a
// busy machine takes, since only a failure waits so long.
const patience = 2 * time.Minute

// wait waits until so many calls of keep have succeeded.
func (m *memory) wait(t *testing.T, n int) {
	t.Helper()
	for i := range n {
		select {
		case <-m.came:
		case <-time.After(patience):
			t.Fatalf("%d of %d mails came in %s", i, n, patience)
		}
	}
}

// subjects gives the subjects of the mails kept, sorted.
func (m *memory) subjects() (all []string) {
	for _, a := range m.kept() {
		for line := range strings.Lines(string(a.Raw)) {
			if s, ok := strings.CutPrefix(line, "Subject: "); ok {
				all = append(all, strings.TrimSpace(s))
				break
			}
		}
	}
	slices.Sort(all)
	return all
}

// marks is an inbox.Mark in memory.
type marks struct {
	mu     sync.Mutex
	places map[string]inbox.Place
	sets   int
	fail   error
}

func (m *marks) At(_ context.Context, mailbox string) (inbox.Place, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.places[mailbox], m.fail
}

func (m *marks) Set(_ context.Context, mailbox string, p inbox.Place) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.fail != nil {
		return m.fail
	}
	if m.places == nil {
		m.places = map[string]inbox.Place{}
	}
	m.sets++
	m.places[mailbox] = p
	return nil
}

func (m *marks) all() map[string]inbox.Place {
	m.mu.Lock()
	defer m.mu.Unlock()
	return maps.Clone(m.places)
}

// mail is a small mail, CRLF ended.
func mail(subject, body string) string {
	return fmt.Sprintf("From: Aino <aino@kolari.example>\r\nTo: calls@programme.example\r\nSubject: %s\r\nDate: Sat, 03 May 2031 13:05:20 +0300\r\nMessage-ID: <%s@kolari.example>\r\n\r\n%s\r\n", subject, subject, body)
}

// folder is a temporary folder that other users can enter.
func folder(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "budcall-inbox-")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := os.RemoveAll(dir); err != nil {
			t.Error(err)
		}
	})
	return dir
}

func write(t *testing.T, dir, name, body string) string {
	t.Helper()
	path := filepath.Join(dir, name)
	if err := os.WriteFile(path, []byte(body), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}
