package cli_test

import (
	"context"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/mail"
	"budcall/internal/testpg"
)

// ledger counts what arrives, by the ID that stays the same when something is
// sent again.
type ledger struct {
	mu    sync.Mutex
	count map[string]int
}

func (l *ledger) add(id string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.count[id]++
}

func (l *ledger) twice() (n int) {
	for _, c := range l.count {
		n += c - 1
	}
	return n
}

// world is everything outside the program: a relay, a webhook's receiving end,
// a configuration and a database.
type world struct {
	mails, hooks *ledger
	dir, state   string
	dsn          string // empty: the program's private PostgreSQL
}

func newWorld(t *testing.T, dsn string) *world {
	w := &world{mails: &ledger{count: map[string]int{}}, hooks: &ledger{count: map[string]int{}}, dsn: dsn, dir: t.TempDir()}
	sink, err := mail.ServeSink(t.Context(), mail.SinkOptions{Take: func(_, _ string, raw []byte) error {
		for line := range strings.Lines(string(raw)) {
			if id, ok := strings.CutPrefix(line, "Message-ID: "); ok || strings.HasPrefix(line, "Message-Id: ") {
				w.mails.add(strings.TrimSpace(id))
				break
			}
		}
		return nil
	}})
	if err != nil {
		t.Fatal(err)
	}
	hooks := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		_, _ = io.Copy(io.Discard, r.Body)
		w.hooks.add(r.Header.Get("Webhook-Id"))
	}))
	t.Cleanup(hooks.Close)
	// The state lies where the user of PostgreSQL can get to.
	if w.state, err = os.MkdirTemp("", "budcall-kill-"); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(w.state) })
	if err := os.Chmod(w.state, 0o711); err != nil {
		t.Fatal(err)
	}
	w.write(t, sink.Addr(), hooks.URL)
	return w
}

// write makes a configuration of four sites on invented weather.
func (w *world) write(t *testing.T, relay, hook string) {
	profile, err := os.ReadFile("../../config/profiles/silver-birch.yml")
	if err != nil {
		t.Fatal(err)
	}
	site := func(code, lead, deputy string, altitudeM int, trees string) string {
		return "code: " + code + "\nname: " + code + "\nlat_deg: 60.3\nlon_deg: 25.0\naltitude_m: " + strconv.Itoa(altitudeM) + "\nprofile: silver-birch\nstations: [MET]\nlead: " + lead + "\ndeputy: " + deputy + "\ntrees:\n" + trees
	}
	for name, body := range map[string]string{
		"secret": "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSwMfKQ9r8GKYqr\n",
		"programme.yml": "code: KILL\nname: Killed (invented)\nzone: Europe/Helsinki\ncoordinator: maia\nops: maia\nlisten: 127.0.0.1:0\nmetrics: 127.0.0.1:0\n" +
			"mail:\n  relay: " + relay + "\n  tls: none\n  from: calls@birches.example\n" +
			"webhooks:\n  - name: hook\n    url: " + hook + "/events\n    secret_files: [secret]\n    allow: [127.0.0.0/8]\n",
		"people.yml": "people:\n  - {code: maia, name: Maia Invented, email: maia@birches.example, phone: \"+358 457 000 0001\"}\n" +
			"  - {code: otso, name: Otso Invented, email: otso@birches.example, phone: \"+358 457 000 0002\"}\n" +
			"  - {code: eero, name: Eero Invented, email: eero@birches.example, phone: \"+358 457 000 0003\"}\n",
		"stations.yml":              "stations:\n  - {code: MET, name: Invented, lat_deg: 60.33, lon_deg: 24.97, altitude_m: 51, format: delimited, path: met.csv, unit: C}\n",
		"sites/a.yml":               site("ALPHA", "otso", "eero", 51, "  - {code: A-001, short: T1}\n  - {code: A-002, short: T2}\n"),
		"sites/c.yml":               site("CHARLIE", "otso", "eero", 180, "  - {code: C-001, short: T1}\n"),
		"sites/d.yml":               site("DELTA", "eero", "otso", 320, "  - {code: D-001, short: T1}\n"),
		"sites/b.yml":               site("BRAVO", "eero", "otso", 20, "  - {code: B-001, short: T1}\n"),
		"profiles/silver-birch.yml": string(profile),
		"met.csv":                   inventedWeather(),
	} {
		path := filepath.Join(w.dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(body), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if w.dsn != "" {
		if err := os.WriteFile(filepath.Join(w.dir, "dsn"), []byte(w.dsn), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// inventedWeather is a plain course of the year with seeded noise, 2011–2031.
func inventedWeather() string {
	rng := rand.New(rand.NewPCG(1, 2))
	var b strings.Builder
	b.WriteString("date,tmin_c,tmax_c,tmean_c\n")
	noise := 0.0
	for d := time.Date(2011, 1, 1, 0, 0, 0, 0, time.UTC); d.Year() < 2032; d = d.AddDate(0, 0, 1) {
		noise = 0.7*noise + 2*rng.NormFloat64()
		season := -11.5*math.Cos(2*math.Pi*float64(d.YearDay()-20)/365) + 5.5
		c := season + noise
		fmt.Fprintf(&b, "%s,%.1f,%.1f,%.1f\n", d.Format("2006-01-02"), c-4, c+5, c)
	}
	return b.String()
}

// binary builds the program once.
var binary = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "budcall-bin-")
	if err != nil {
		return "", err
	}
	path := filepath.Join(dir, "budcall")
	out, err := exec.Command("go", "build", "-o", path, "budcall/cmd/budcall").CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("building budcall: %w\n%s", err, out)
	}
	return path, nil
})

// process is a running program.
type process struct {
	*exec.Cmd
	ended chan struct{} // closed when it has ended
	err   error         // how, after ended
	log   *lines
}

// lines keeps what a program prints.
type lines struct {
	mu  sync.Mutex
	buf strings.Builder
}

func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.buf.Write(p)
}

// last gives the end of it.
func (l *lines) last() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	all := l.buf.String()
	return all[max(0, len(all)-2000):]
}

// start starts the program on the world's database.
func (w *world) start(t *testing.T, env ...string) *process {
	t.Helper()
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	args := []string{"run", "--state", w.state, "--clock", "2031-03-20", "--log", "json"}
	if w.dsn != "" {
		args = append(args, "--database-file", filepath.Join(w.dir, "dsn"))
	}
	p := &process{Cmd: exec.Command(path, append(args, w.dir)...), ended: make(chan struct{}), log: &lines{}}
	p.Env = append(os.Environ(), env...)
	p.Stderr, p.Stdout = p.log, p.log
	if err := p.Start(); err != nil {
		t.Fatal(err)
	}
	go func() { p.err = p.Wait(); close(p.ended) }()
	t.Cleanup(p.kill)
	return p
}

// kill ends it with -9.
func (p *process) kill() {
	_ = p.Process.Kill() // it may have ended already
	<-p.ended
}

// over reports whether it has ended by itself.
func (p *process) over() bool {
	select {
	case <-p.ended:
		return true
	default:
		return false
	}
}

// passed reports whether the simulated time is past the end of the trial.
func passed(dsn string, end time.Time) (time.Time, bool) {
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Second)
	defer cancel()
	conn, err := pgx.Connect(ctx, dsn)
	if err != nil {
		return time.Time{}, false
	}
	defer conn.Close(ctx)
	var at time.Time
	if conn.QueryRow(ctx, "select at from simulated_clock").Scan(&at) != nil {
		return at, false
	}
	return at, !at.Before(end)
}

// count asks a database for a number; -1 where it can't be reached.
func count(dsn, query string) (n int) {
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Second)
	defer cancel()
	conn, err := pgx.Connect(ctx, dsn)
	if err != nil {
		return -1
	}
	defer conn.Close(ctx)
	if conn.QueryRow(ctx, query).Scan(&n) != nil {
		return -1
	}
	return n
}

// finish lets programs run undisturbed to the end of the trial, and stop in
// good order.
func (w *world) finish(t *testing.T, end time.Time, dsn string, running ...*process) {
	t.Helper()
	for deadline := time.Now().Add(3 * time.Minute); ; time.Sleep(50 * time.Millisecond) {
		at, over := passed(dsn, end)
		if over {
			break
		}
		if time.Now().After(deadline) || running[0].over() {
			t.Fatalf("the simulated time stands at %s; the program said:\n%s", at, running[0].log.last())
		}
	}
	for _, p := range running {
		if err := p.Process.Signal(syscall.SIGTERM); err != nil {
			t.Fatal(err)
		}
	}
	for _, p := range running {
		if <-p.ended; p.err != nil {
			t.Errorf("the program did not stop in good order: %v\n%s", p.err, p.log.last())
		}
	}
}

// final is what a trial leaves behind: how the calls stand, what was owed to
// whom and why, and which letters went out, up to its end.
func final(t *testing.T, dsn string, end time.Time) string {
	t.Helper()
	ctx := context.Background()
	conn, err := pgx.Connect(ctx, dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(ctx)
	var all []string
	for _, q := range []string{
		"select row(site, task, serial, person, standing, reason, passed, at)::text from owed where at < $1 order by site, task, serial, person",
		"select row(site, task, at, standing, reason, first_day, last_day)::text from standing_change where at < $1 order by site, task, id",
		"select row(channel, target, kind, state, written_at)::text from letter where written_at < $1 order by written_at, channel, target, kind",
		"select row(site, stage, issued_on, p10, p50, p90, encode(live, 'hex'))::text from issued where issued_on < $1::timestamptz::date order by site, stage, issued_on",
	} {
		rows, err := conn.Query(ctx, q, end)
		if err != nil {
			t.Fatal(err)
		}
		lines, err := pgx.CollectRows(rows, pgx.RowTo[string])
		if err != nil {
			t.Fatal(err)
		}
		all = append(append(all, lines...), "")
	}
	return strings.Join(all, "\n")
}

// The ends of a long trial, with bags on, off, and seed, and of a short one.
var (
	longEnd  = time.Date(2031, 8, 20, 0, 0, 0, 0, time.UTC)
	shortEnd = time.Date(2031, 5, 25, 0, 0, 0, 0, time.UTC)
)

// calm is what an undisturbed run leaves behind at both ends.
type calm struct {
	once        sync.Once
	long, short string
	world       *world
}

var undisturbed calm

// reference gives the outcome of an undisturbed run, made once.
func reference(t *testing.T) *calm {
	t.Helper()
	undisturbed.once.Do(func() {
		w := newWorld(t, testpg.New(t))
		w.finish(t, longEnd, w.dsn, w.start(t))
		undisturbed.world = w
		undisturbed.long, undisturbed.short = final(t, w.dsn, longEnd), final(t, w.dsn, shortEnd)
	})
	if undisturbed.world == nil {
		t.Fatal("the undisturbed run failed")
	}
	return &undisturbed
}

// points are the named places at which the program is killed, beside random
// ones.
var points = []string{"claimed", "before the dot", "sent", "before commit"}

func TestAHundredKillsLoseNothing(t *testing.T) {
	if testing.Short() {
		t.Skip("a minute's work: not in short mode")
	}
	want := reference(t)
	w := newWorld(t, testpg.New(t))
	rng := rand.New(rand.NewPCG(7, 7))
	kills, named := 0, map[string]int{}
	for kills < 100 {
		point := ""
		var env []string
		if kills%10 < len(points) { // ten at each named point, the rest at random
			point = points[kills%10]
			env = []string{"BUDCALL_CRASH_AT=" + point, "BUDCALL_CRASH_AFTER=1"}
		}
		p := w.start(t, env...)
		patience := time.Duration(120+rng.IntN(250)) * time.Millisecond
		if point != "" {
			patience = 30 * time.Second
		}
		select {
		case <-p.ended:
			if point == "" || !strings.Contains(p.err.Error(), "killed") {
				t.Fatalf("it ended by itself: %v\n%s", p.err, p.log.last())
			}
			named[point]++
		case <-time.After(patience):
			p.kill()
		}
		kills++
		if at, over := passed(w.dsn, longEnd); over {
			t.Fatalf("the trial was over after %d kills (%s): make it longer", kills, at)
		}
	}
	w.finish(t, longEnd, w.dsn, w.start(t))
	for _, point := range points {
		if named[point] < 10 {
			t.Errorf("only %d kills at the point %q", named[point], point)
		}
	}
	compare(t, want.long, final(t, w.dsn, longEnd))
	tally(t, want.world, w, kills, named)
}

func TestTwentyKillsOnThePrivatePostgreSQL(t *testing.T) {
	if testing.Short() {
		t.Skip("a minute's work: not in short mode")
	}
	want := reference(t)
	w := newWorld(t, "")
	rng := rand.New(rand.NewPCG(8, 8))
	dsn := "postgres:///budcall?host=" + filepath.Join(w.state, "pg", "socket") + "&user=budcall"
	for range 20 {
		p := w.start(t)
		time.Sleep(time.Duration(700+rng.IntN(900)) * time.Millisecond)
		p.kill()
	}
	p := w.start(t)
	got := ""
	for deadline := time.Now().Add(3 * time.Minute); got == "" && time.Now().Before(deadline) && !p.over(); time.Sleep(50 * time.Millisecond) {
		if _, over := passed(dsn, shortEnd); over {
			got = final(t, dsn, shortEnd) // before it stops, and its PostgreSQL with it
		}
	}
	if got == "" {
		t.Fatalf("it never came to the end:\n%s", p.log.last())
	}
	_ = p.Process.Signal(syscall.SIGTERM)
	<-p.ended
	compare(t, want.short, got)
	tallyTwice(t, w, 20, nil)
}

func TestTwoProcessesShareTheWorkAndOneMayDie(t *testing.T) {
	if testing.Short() {
		t.Skip("half a minute's work: not in short mode")
	}
	want := reference(t)
	w := newWorld(t, testpg.New(t))
	first, second := w.start(t), w.start(t)
	half := time.Date(2031, 4, 20, 0, 0, 0, 0, time.UTC)
	for deadline := time.Now().Add(time.Minute); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		if _, over := passed(w.dsn, half); over {
			break
		}
	}
	first.kill()
	w.finish(t, shortEnd, w.dsn, second)
	compare(t, want.short, final(t, w.dsn, shortEnd))
	tallyTwice(t, w, 1, nil)
}

// tally compares what arrived with what arrives in a calm run: nothing may be
// lost.
func tally(t *testing.T, calm, w *world, kills int, named map[string]int) {
	t.Helper()
	lostHooks := 0
	for id := range calm.hooks.count {
		if w.hooks.count[id] == 0 {
			lostHooks++
		}
	}
	lostMails := max(0, len(calm.mails.count)-len(w.mails.count))
	t.Logf("lost: %d of %d mails, %d of %d messages to the webhook", lostMails, len(calm.mails.count), lostHooks, len(calm.hooks.count))
	if lostMails > 0 || lostHooks > 0 {
		t.Error("something was lost")
	}
	tallyTwice(t, w, kills, named)
}

// tallyTwice: at most what the workers of a process had in hand at each kill
// may arrive twice. (That nothing is lost shows in the outcome: every letter
// of it is marked as sent.)
func tallyTwice(t *testing.T, w *world, kills int, named map[string]int) {
	t.Helper()
	t.Logf("%d kills (at named points %v): %d mails, %d of them twice; %d messages to the webhook, %d twice",
		kills, named, len(w.mails.count), w.mails.twice(), len(w.hooks.count), w.hooks.twice())
	if w.mails.twice()+w.hooks.twice() > 4*kills {
		t.Errorf("%d things arrived twice", w.mails.twice()+w.hooks.twice())
	}
}

func compare(t *testing.T, want, got string) {
	t.Helper()
	if got == want {
		return
	}
	a, b := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			t.Errorf("the outcome differs from an undisturbed run's:\n got %s\nwant %s", b[i], a[i])
			return
		}
	}
	t.Errorf("the outcome has %d lines, an undisturbed run's %d", len(b), len(a))
}
