package app_test

import (
	"context"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"budcall/internal/app"
	smtp "budcall/internal/mail"
)

// post keeps the mails that a relay takes from several programmes, each with who
// sent it.
type post struct {
	mu    sync.Mutex
	mails []posted
}

type posted struct{ from, to, id, subject, text string }

func (p *post) take(from, to string, raw []byte) error {
	id, subject, text, err := letterOf(raw)
	if err != nil {
		return err
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.mails = append(p.mails, posted{from, to, id, subject, text})
	return nil
}

// from gives the mails of one sender.
func (p *post) from(sender string) (mails []posted) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, m := range p.mails {
		if m.from == sender {
			mails = append(mails, m)
		}
	}
	return mails
}

// pair is an installation of two programmes for two species, whose sites, trees
// and one person have the same codes.
type pair struct {
	north, south *programme
	post         *post
	state        string
	listen       string
	// lines of the programmes' own, which take the place of the usual ones
	northLines, southLines string
}

// newPair writes two folders. Both programmes have their pages and numbers at
// the same addresses.
func newPair(t *testing.T) *pair {
	t.Helper()
	p := &pair{post: &post{}, state: stateFolder(t), listen: freeAddr(t)}
	sink, err := smtp.ServeSink(t.Context(), smtp.SinkOptions{Take: p.post.take})
	if err != nil {
		t.Fatal(err)
	}
	p.north, p.south = newProgramme(t, sink.Addr()), newProgramme(t, sink.Addr())
	p.south.metrics = p.north.metrics
	alder, err := os.ReadFile("testdata/profiles/grey-alder.yml")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.RemoveAll(filepath.Join(p.south.dir, "profiles")); err != nil {
		t.Fatal(err)
	}
	p.south.file(t, "profiles/grey-alder.yml", string(alder))
	p.south.file(t, "sites/home.yml", strings.Replace(p.south.read(t, "sites/home.yml"), "silver-birch", "grey-alder", 1))
	// otso is in both; maia is another person in the south; ilmi and aatu are in one.
	p.north.file(t, "people.yml", "people:\n"+
		"  - {code: maia, name: Maia Northern, email: maia@north.example}\n"+
		"  - {code: otso, name: Otso Invented, email: otso@both.example}\n"+
		"  - {code: ilmi, name: Ilmi Northern, email: ilmi@north.example}\n")
	p.south.file(t, "people.yml", "people:\n"+
		"  - {code: maia, name: Maia Southern, email: maia@south.example}\n"+
		"  - {code: otso, name: Otso Invented, email: otso@both.example}\n"+
		"  - {code: aatu, name: Aatu Southern, email: aatu@south.example}\n")
	p.write(t)
	return p
}

// write writes both programme.yml.
func (p *pair) write(t *testing.T) {
	t.Helper()
	p.own(t, p.north, "NORTH", p.northLines)
	p.own(t, p.south, "SOUTH", p.southLines)
}

// own writes a programme.yml; what the lines set isn't set otherwise.
func (p *pair) own(t *testing.T, of *programme, code, lines string) {
	t.Helper()
	low := strings.ToLower(code)
	text := "zone: Europe/Helsinki\ncoordinator: maia\nops: maia\n"
	for key, value := range map[string]string{
		"code": code, "name": "The " + low + " (invented)", "listen": p.listen, "metrics": of.metrics,
		"public_url": "http://" + p.listen + "/" + low,
		"mail":       "{relay: " + of.relay + ", tls: none, from: " + low + "@trees.example}",
		"inbox":      "{lmtp: \"127.0.0.1:0\"}",
	} {
		if !strings.HasPrefix(lines, key+":") && !strings.Contains(lines, "\n"+key+":") {
			text += key + ": " + value + "\n"
		}
	}
	of.file(t, "programme.yml", text+lines)
}

// start starts both.
func (p *pair) start(t *testing.T, o app.Options) (*app.Installation, error) {
	t.Helper()
	return p.startDirs(t, o, p.north.dir, p.south.dir)
}

func (p *pair) startDirs(t *testing.T, o app.Options, dirs ...string) (*app.Installation, error) {
	t.Helper()
	if o.State == "" {
		o.State = p.state
	}
	o.Logger, o.Version = slog.New(slog.DiscardHandler), "test"
	if testing.Verbose() {
		o.Logger = slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))
	}
	return app.NewInstallation(context.Background(), o, dirs)
}

// started starts both and closes them at the end of the test, unless stop did.
func (p *pair) started(t *testing.T, o app.Options) (i *app.Installation, stop func()) {
	t.Helper()
	i, err := p.start(t, o)
	if err != nil {
		t.Fatal(err)
	}
	return i, closing(t, i)
}

func closing(t *testing.T, i *app.Installation) (stop func()) {
	t.Helper()
	stop = sync.OnceFunc(func() {
		if err := i.Close(context.Background()); err != nil {
			t.Error(err)
		}
	})
	t.Cleanup(stop)
	return stop
}

// refused starts where it must fail, and gives the message.
func (p *pair) refused(t *testing.T, o app.Options, dirs ...string) string {
	t.Helper()
	i, err := p.startDirs(t, o, dirs...)
	if err == nil {
		i.Close(context.Background())
		t.Fatal("it started")
	}
	return err.Error()
}

// dsn is the address of a programme's database in the private PostgreSQL, which
// runs.
func (p *pair) dsn(database string) string {
	return "postgres:///" + database + "?host=" + filepath.Join(p.state, "pg", "socket") + "&user=budcall"
}

// stateFolder is one that PostgreSQL's user can reach, with a short path.
func stateFolder(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "budcall-two-")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o711); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return dir
}
