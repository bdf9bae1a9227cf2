package app_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/app"
	"budcall/internal/civil"
	smtp "budcall/internal/mail"
)

// programme is a configuration that a test can break and mend: one or more
// sites at one station with invented weather.
type programme struct {
	dir     string
	relay   string
	metrics string // host:port, chosen beforehand so that a test can ask it
	more    string // lines added to programme.yml
	mail    string // lines added to its mail section
}

func newProgramme(t *testing.T, relay string) *programme {
	t.Helper()
	p := &programme{dir: t.TempDir(), relay: relay, metrics: freeAddr(t)}
	profile, err := os.ReadFile("../../config/profiles/silver-birch.yml")
	if err != nil {
		t.Fatal(err)
	}
	p.file(t, "profiles/silver-birch.yml", string(profile))
	p.file(t, "people.yml", "people:\n"+
		"  - {code: maia, name: Maia Invented, email: maia@birches.example}\n"+
		"  - {code: otso, name: Otso Invented, email: otso@birches.example}\n"+
		"  - {code: ilmi, name: Ilmi Invented, email: ilmi@birches.example}\n")
	p.file(t, "station.csv", inventedWeather(2004, 2016))
	p.file(t, "stations.yml", "stations:\n  - {code: MET, name: Hut, lat_deg: 60.3, lon_deg: 25.0, altitude_m: 51, format: delimited, path: station.csv}\n")
	p.site(t, "HOME", "otso")
	p.write(t)
	return p
}

// write writes programme.yml from the fields.
func (p *programme) write(t *testing.T) {
	t.Helper()
	p.file(t, "programme.yml", "code: ONE\nname: One site (invented)\nzone: Europe/Helsinki\ncoordinator: maia\nops: maia\n"+
		"listen: 127.0.0.1:0\nmetrics: "+p.metrics+"\n"+
		"mail:\n  relay: "+p.relay+"\n  tls: none\n  from: calls@birches.example\n"+p.mail+p.more)
}

func (p *programme) site(t *testing.T, code, lead string) {
	t.Helper()
	p.file(t, "sites/"+strings.ToLower(code)+".yml", "code: "+code+"\nname: "+code+" (invented)\nlat_deg: 60.3\nlon_deg: 25.0\naltitude_m: 51\nprofile: silver-birch\nstations: [MET]\nlead: "+lead+
		"\ntrees:\n  - {code: "+code+"-1, short: T1}\n")
}

// file writes a file of the folder, whole or not at all.
func (p *programme) file(t *testing.T, name, body string) {
	t.Helper()
	path := filepath.Join(p.dir, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path+".new", []byte(body), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(path+".new", path); err != nil {
		t.Fatal(err)
	}
}

// inventedWeather is a station file of smooth years, each a little warmer or
// colder than the one before.
func inventedWeather(from, to int) string {
	var b strings.Builder
	b.WriteString("date,tmin_c,tmax_c,tmean_c\n")
	for d := civil.Of(from, 1, 1); d <= civil.Of(to, 12, 31); d++ {
		_, week := math.Modf(float64(d) / 9)
		mean := 5.5 - 12*math.Cos(2*math.Pi*(float64(d.YearDay())-22)/365.25) + 1.5*math.Sin(float64(d.Year())*2.4) + 2*math.Sin(7*week+float64(d))
		fmt.Fprintf(&b, "%s,%.1f,%.1f,%.1f\n", d, mean-4, mean+5, mean)
	}
	return b.String()
}

// freeAddr is an address that nobody listens on, for now: below the ports that
// systems give out by themselves, so that no other test is given it meanwhile.
func freeAddr(t *testing.T) string {
	t.Helper()
	for range 100 {
		addr := fmt.Sprintf("127.0.0.1:%d", 20000+(int64(os.Getpid())*61+ports.Add(1))%12000)
		if l, err := net.Listen("tcp", addr); err == nil {
			l.Close()
			return addr
		}
	}
	t.Fatal("no port is free")
	return ""
}

var ports atomic.Int64

// relayAt serves a relay on an address, with a script that may be nil.
func relayAt(t *testing.T, addr string, box *letterbox, script func(smtp.Step) smtp.Answer) *smtp.Sink {
	t.Helper()
	sink, err := smtp.ServeSink(t.Context(), smtp.SinkOptions{Addr: addr, Take: box.take, Script: script})
	if err != nil {
		t.Fatal(err)
	}
	return sink
}

// start is app.New with the options that these tests share.
func start(t *testing.T, o app.Options) (*app.App, error) {
	t.Helper()
	if o.State == "" {
		o.State = t.TempDir()
	}
	if o.Logger == nil {
		o.Logger = slog.New(slog.DiscardHandler)
		if testing.Verbose() {
			o.Logger = slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))
		}
	}
	o.Version = "test"
	return app.New(context.Background(), o)
}

// refused starts where it must fail, and gives the message.
func refused(t *testing.T, o app.Options) string {
	t.Helper()
	a, err := start(t, o)
	if err == nil {
		a.Close(context.Background())
		t.Fatal("it started")
	}
	return err.Error()
}

// says checks that a message has all the words.
func says(t *testing.T, message string, words ...string) {
	t.Helper()
	for _, w := range words {
		if !strings.Contains(message, w) {
			t.Errorf("the message doesn't say %q:\n%s", w, message)
		}
	}
}

// silent checks that a message has none of the words.
func silent(t *testing.T, message string, words ...string) {
	t.Helper()
	for _, w := range words {
		if strings.Contains(message, w) {
			t.Errorf("the message says %q:\n%s", w, message)
		}
	}
}

// troubles gives the troubles that the board shows, as one text.
func troubles(t *testing.T, a *app.App) string {
	t.Helper()
	board, err := a.Board(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(board.Trouble, "\n")
}

// running lets a program work in the background until stop is called, which
// gives how it ended.
func running(t *testing.T, a *app.App, work func(context.Context) error) (stop func() error) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- work(ctx) }()
	stop = func() error {
		cancel()
		err := <-ended
		ended <- err
		return err
	}
	t.Cleanup(func() {
		if err := stop(); err != nil {
			t.Error(err)
		}
		if err := a.Close(context.Background()); err != nil {
			t.Error(err)
		}
	})
	return stop
}

// readyz asks the program whether it can work.
func (p *programme) readyz() (int, string) {
	r, err := http.Get("http://" + p.metrics + "/readyz")
	if err != nil {
		return 0, err.Error()
	}
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	return r.StatusCode, fmt.Sprint(string(body), errors.Join(err))
}

// patience is how long a test waits for what must come: beyond anything that a
// busy machine takes, since only a failure waits so long.
const patience = 3 * time.Minute

// eventually waits until ok, and says what was waited for in vain.
func eventually(t *testing.T, what string, ok func() bool) {
	t.Helper()
	deadline := time.Now().Add(patience)
	for !ok() {
		if time.Now().After(deadline) {
			t.Fatalf("waited in vain: %s", what)
		}
		time.Sleep(5 * time.Millisecond) // between two looks; nothing depends on how long
	}
}

// ask gives one text from a database.
func ask(t *testing.T, dsn, query string, args ...any) (text string) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	if err := conn.QueryRow(t.Context(), query, args...).Scan(&text); err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return text
}

// exec does something in a database.
func exec(t *testing.T, dsn, query string) {
	t.Helper()
	conn, err := pgx.Connect(context.Background(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	if _, err := conn.Exec(context.Background(), query); err != nil {
		t.Fatalf("%s: %v", query, err)
	}
}

// letters gives how many letters of a channel stand in each state, as
// "sent 3, waiting 1".
func letters(t *testing.T, dsn, channel string) string {
	t.Helper()
	return ask(t, dsn, `select coalesce(string_agg(state || ' ' || n, ', ' order by state), '')
		from (select state, count(*) n from letter where channel = $1 group by state) s`, channel)
}

// decided is everything that was decided and told before a time, as text: what
// two programs that lived through the same days must agree about.
func decided(t *testing.T, dsn string, before time.Time) string {
	t.Helper()
	return ask(t, dsn, `
		select coalesce((select string_agg(concat_ws(' ', name, nominal, started_at at time zone 'UTC', skipped), E'\n' order by started_at, name) from run where started_at < $1), '')
			|| E'\n' || coalesce((select string_agg(concat_ws(' ', at at time zone 'UTC', site, person, task, standing, reason, item - 'link'), E'\n' order by at, site, task, person) from owed where at < $1), '')
			|| E'\n' || coalesce((select string_agg(concat_ws(' ', written_at at time zone 'UTC', target, kind, state), E'\n' order by written_at, target, kind) from letter where written_at < $1), '')`, before)
}
