package app_test

import (
	"context"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/testpg"
)

// A simulated clock would send at made-up times, so everything that could
// reach somebody must be on this machine.
func TestSimulatedTimeReachesNobody(t *testing.T) {
	t.Parallel()
	day := civil.Of(2016, 5, 1)
	rows := []struct {
		name   string
		change func(*testing.T, *programme)
		says   []string
	}{
		{"a relay elsewhere", func(t *testing.T, p *programme) {
			p.relay = "mail.birches.example:587"
			p.mail = "  user: calls\n  password_file: password\n"
			p.write(t)
			body := ""
			for _, line := range strings.SplitAfter(readFile(t, filepath.Join(p.dir, "programme.yml")), "\n") {
				if !strings.Contains(line, "tls: none") {
					body += line
				}
			}
			p.file(t, "programme.yml", body)
		}, []string{"mail.birches.example:587", "127.0.0.1"}},
		{"a webhook elsewhere", func(t *testing.T, p *programme) {
			p.more = "webhooks:\n  - {name: fieldbook, url: \"https://fieldbook.birches.example/season\", secret_files: [hook-key]}\n"
			p.write(t)
		}, []string{"fieldbook", "127.0.0.1"}},
		{"a forecast elsewhere", func(t *testing.T, p *programme) {
			p.file(t, "stations.yml", readFile(t, filepath.Join(p.dir, "stations.yml"))+
				"forecasts:\n  - {code: metno, format: metno, url: \"https://weather.birches.example/complete\", contact: ops@birches.example}\n")
		}, []string{"metno", "127.0.0.1"}},
		{"a station elsewhere", func(t *testing.T, p *programme) {
			p.file(t, "stations.yml", strings.Replace(readFile(t, filepath.Join(p.dir, "stations.yml")), "path: station.csv", `url: "https://weather.birches.example/met.csv"`, 1))
		}, []string{"MET", "127.0.0.1"}},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			dsn := testpg.New(t)
			p := newProgramme(t, "127.0.0.1:2525")
			good := map[string]string{}
			for _, name := range []string{"programme.yml", "stations.yml"} {
				good[name] = readFile(t, filepath.Join(p.dir, name))
			}
			row.change(t, p)
			says(t, refused(t, app.Options{Dir: p.dir, DSN: dsn, Clock: day}), append(row.says, "simulated clock")...)

			// A refused simulation leaves no mark: the database may still live in real time.
			for name, body := range good {
				p.file(t, name, body)
			}
			a, err := start(t, app.Options{Dir: p.dir, DSN: dsn})
			if err != nil {
				t.Fatal(err)
			}
			if err := a.Close(context.Background()); err != nil {
				t.Error(err)
			}
		})
	}
}

func readFile(t *testing.T, path string) string {
	t.Helper()
	body, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}

// Times of two kinds in one database would mix made-up mails with real ones.
func TestADatabaseKeepsToOneKindOfTime(t *testing.T) {
	t.Parallel()
	p := newProgramme(t, relayAt(t, "", &letterbox{}, nil).Addr())
	simulated, real := testpg.New(t), testpg.New(t)
	a := open(t, p.dir, "2016-05-01", simulated)
	if err := a.Close(context.Background()); err != nil {
		t.Fatal(err)
	}
	says(t, refused(t, app.Options{Dir: p.dir, DSN: simulated}), "simulated time", "--clock DAY", "--state DIR")

	b, err := start(t, app.Options{Dir: p.dir, DSN: real})
	if err != nil {
		t.Fatal(err)
	}
	stop := running(t, b, b.Run)
	eventually(t, "the first run", func() bool { return ask(t, real, `select count(*)::text from run`) != "0" })
	if err := stop(); err != nil {
		t.Fatal(err)
	}
	says(t, refused(t, app.Options{Dir: p.dir, DSN: real, Clock: civil.Of(2016, 5, 1)}), "real time", "--state DIR")
}

func TestAPortInUseIsNamedWithItsSetting(t *testing.T) {
	t.Parallel()
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	p := newProgramme(t, "127.0.0.1:2525")
	body := readFile(t, filepath.Join(p.dir, "programme.yml"))
	dsn := testpg.New(t)
	for _, row := range []struct{ setting, now string }{{"listen", "127.0.0.1:0"}, {"metrics", p.metrics}} {
		p.file(t, "programme.yml", strings.Replace(body, row.setting+": "+row.now, row.setting+": "+taken.Addr().String(), 1))
		says(t, refused(t, app.Options{Dir: p.dir, DSN: dsn}), "programme.yml: "+row.setting+":", taken.Addr().String(), "in use", "choose another")
	}
}

func TestTheDatabaseSaysWhyItDoesntLetIn(t *testing.T) {
	t.Parallel()
	lockedDoor(t)
	p := newProgramme(t, "127.0.0.1:2525")
	good, err := url.Parse(testpg.New(t))
	if err != nil {
		t.Fatal(err)
	}
	address := func(change func(u *url.URL, q url.Values)) string {
		u, q := *good, good.Query()
		change(&u, q)
		u.RawQuery = q.Encode()
		return u.String()
	}
	rows := []struct {
		name string
		dsn  string
		says []string
	}{
		{"a wrong password", address(func(_ *url.URL, q url.Values) { q.Set("user", "guest"); q.Set("password", "hunted") }), []string{"refused the user or password", "address file"}},
		{"no such database", address(func(u *url.URL, _ url.Values) { u.Path = "/nowhere" }), []string{"no such database", "createdb"}},
		{"nobody listens", "postgres://budcall@" + freeAddr(t) + "/budcall?sslmode=disable", []string{"can't be reached", "is it running"}},
		{"no address at all", "mysql:/budcall:hunted@nowhere", []string{"address", "postgres://"}},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			message := refused(t, app.Options{Dir: p.dir, DSN: row.dsn})
			says(t, message, row.says...)
			silent(t, message, "hunted")
		})
	}
}

// lockedDoor lets a user "guest" into the tests' PostgreSQL by password only.
func lockedDoor(t *testing.T) {
	t.Helper()
	dsn := testpg.New(t)
	ask(t, dsn, `with x as (select 1) select 'ok' from x`)
	exec(t, dsn, `do $$ begin create role guest login password 'open sesame'; exception when duplicate_object then null; end $$`)
	rules := ask(t, dsn, `show hba_file`)
	before := readFile(t, rules)
	if err := os.WriteFile(rules, []byte("local all guest scram-sha-256\n"+before), 0o600); err != nil {
		t.Fatal(err)
	}
	exec(t, dsn, `select pg_reload_conf()`)
	t.Cleanup(func() { exec(t, dsn, `drop role guest`) })
}

func TestTheStateFolderCantBeUsed(t *testing.T) {
	t.Parallel()
	p, dsn := newProgramme(t, "127.0.0.1:2525"), testpg.New(t)
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	t.Run("its path leads through a file", func(t *testing.T) {
		says(t, refused(t, app.Options{Dir: p.dir, DSN: dsn, State: filepath.Join(file, "state")}), "state folder", file, "--state DIR")
	})
	t.Run("its link key was cut off", func(t *testing.T) {
		state := t.TempDir()
		if err := os.WriteFile(filepath.Join(state, "link.key"), []byte("short"), 0o600); err != nil {
			t.Fatal(err)
		}
		says(t, refused(t, app.Options{Dir: p.dir, DSN: dsn, State: state}), "link.key", "too short", "remove it")
	})
	t.Run("it is read-only", func(t *testing.T) {
		says(t, refused(t, app.Options{Dir: p.dir, DSN: dsn, State: smallDisk(t, "ro,size=1m")}), "link.key", "read-only", "--state DIR")
	})
	t.Run("its disk is full", func(t *testing.T) {
		disk := smallDisk(t, "size=64k")
		fill(t, disk)
		says(t, refused(t, app.Options{Dir: p.dir, DSN: dsn, State: disk}), "link.key", "no space left", "make space")
		if left, err := filepath.Glob(filepath.Join(disk, "*link.key*")); err != nil || len(left) > 0 {
			t.Errorf("half a key is left behind: %v %v", left, err)
		}
	})
	t.Run("its disk is too small for a PostgreSQL", func(t *testing.T) {
		disk := smallDisk(t, "size=8m")
		message := refused(t, app.Options{Dir: p.dir, State: disk})
		says(t, message, "MiB are free", "--state DIR")
		if left, err := filepath.Glob(filepath.Join(disk, "pg", "making-*")); err != nil || len(left) > 0 {
			t.Errorf("half a database is left behind: %v %v", left, err)
		}
	})
}

// At a slow pace the next moment may be hours away; the program works all the same.
func TestASlowSimulationIsReadyAtOnce(t *testing.T) {
	t.Parallel()
	r := newSettingsRig(t, "")
	stop := running(t, r.App, func(ctx context.Context) error { return r.Simulate(ctx, 1e-6) })
	defer stop()
	eventually(t, "ready", func() bool { code, _ := r.p.readyz(); return code == http.StatusOK })
}
