package app_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/testpg"
)

func TestABadConfigurationNeverComesIntoForce(t *testing.T) {
	t.Parallel()
	box, dsn := &letterbox{}, testpg.New(t)
	p := newProgramme(t, relayAt(t, "", box, nil).Addr())
	people := readFile(t, filepath.Join(p.dir, "people.yml"))
	a := open(t, p.dir, "2016-04-02", dsn)
	until(t, a, "2016-04-02")

	p.file(t, "people.yml", strings.Replace(people, "otso@birches.example", "no address", 1))
	if err := a.Look(t.Context()); err == nil {
		t.Fatal("a bad configuration was accepted")
	}
	for range 3 { // it is looked at again and again
		if err := a.Look(t.Context()); err != nil {
			t.Fatal(err)
		}
		until(t, a, "2016-04-03")
	}
	says(t, troubles(t, a), "people.yml:3", "stays in force")
	until(t, a, "2016-04-04")
	if n := told(box, "to look after"); n != 1 {
		t.Errorf("the ops person was told %d times", n)
	}
	if got := len(a.Programme().People); got != 3 {
		t.Errorf("%d people are in force", got)
	}

	whole := t
	t.Run("after a restart the accepted one is used", func(t *testing.T) {
		if err := a.Close(context.Background()); err != nil {
			t.Fatal(err)
		}
		a = open(whole, p.dir, "2016-04-02", dsn)
		until(t, a, "2016-04-05")
		if got := a.Programme().People[1].Email; got != "otso@birches.example" {
			t.Errorf("in force is %q", got)
		}
		says(t, troubles(t, a), "people.yml:3")
		if n := told(box, "to look after"); n != 1 {
			t.Errorf("the ops person was told %d times", n)
		}
	})
	t.Run("mended, the trouble is over; bad again, it is told again", func(t *testing.T) {
		p.file(t, "people.yml", people)
		if err := a.Look(t.Context()); err != nil {
			t.Fatal(err)
		}
		silent(t, troubles(t, a), "people.yml")
		p.file(t, "people.yml", "people: [")
		if err := a.Look(t.Context()); err == nil {
			t.Fatal("a bad configuration was accepted")
		}
		until(t, a, "2016-04-06")
		if n := told(box, "to look after"); n != 2 {
			t.Errorf("the ops person was told %d times", n)
		}
	})
}

// told counts the mails with a subject.
func told(box *letterbox, subject string) (n int) {
	for _, m := range box.all() {
		if strings.Contains(m.subject, subject) {
			n++
		}
	}
	return n
}

// A folder that can't be read for a while is a trouble as long as it lasts,
// though what is in it stays the same.
func TestAFolderThatIsGoneForAWhile(t *testing.T) {
	t.Parallel()
	p := newProgramme(t, "127.0.0.1:2525")
	a := open(t, p.dir, "2016-03-01", testpg.New(t))
	rows := []struct {
		name        string
		break_      func() error
		mend        func() error
		says        string
		sitesStayed int
	}{
		{"the folder is moved away", func() error { return os.Rename(p.dir, p.dir+".away") }, func() error { return os.Rename(p.dir+".away", p.dir) }, "there is no folder", 1},
		{"its sites are no folder", func() error {
			if err := os.Rename(filepath.Join(p.dir, "sites"), filepath.Join(p.dir, "away")); err != nil {
				return err
			}
			return os.WriteFile(filepath.Join(p.dir, "sites"), nil, 0o600)
		}, func() error {
			if err := os.Remove(filepath.Join(p.dir, "sites")); err != nil {
				return err
			}
			return os.Rename(filepath.Join(p.dir, "away"), filepath.Join(p.dir, "sites"))
		}, "must be a folder", 1},
		{"a folder has the name of a file", func() error { return os.Mkdir(filepath.Join(p.dir, "sites/x.yml"), 0o700) }, func() error { return os.Remove(filepath.Join(p.dir, "sites/x.yml")) }, "x.yml is no file", 1},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			if err := row.break_(); err != nil {
				t.Fatal(err)
			}
			for range 2 {
				if err := a.Look(t.Context()); err == nil {
					t.Error("it was accepted")
				}
			}
			says(t, troubles(t, a), row.says)
			if got := len(a.Programme().Sites); got != row.sitesStayed {
				t.Errorf("%d sites are in force", got)
			}
			if err := row.mend(); err != nil {
				t.Fatal(err)
			}
			if err := a.Look(t.Context()); err != nil {
				t.Error(err)
			}
			if got := troubles(t, a); got != "" {
				t.Errorf("still a trouble: %s", got)
			}
		})
	}
}

// At the first start there is nothing to fall back on: every problem is said
// at once, and nobody else is told.
func TestAFirstStartWithABadConfigurationListsEveryProblem(t *testing.T) {
	t.Parallel()
	p, dsn := newProgramme(t, "127.0.0.1:2525"), testpg.New(t)
	p.file(t, "people.yml", strings.Replace(readFile(t, filepath.Join(p.dir, "people.yml")), "ilmi@birches.example", "nowhere", 1))
	p.site(t, "HOME", "somebody")
	p.file(t, "stations.yml", strings.Replace(readFile(t, filepath.Join(p.dir, "stations.yml")), "60.3", "100", 1))
	message := refused(t, app.Options{Dir: p.dir, DSN: dsn})
	says(t, message, "people.yml:4:", "sites/home.yml:8: lead:", "somebody", "stations.yml:2:", "latitude", "problems")
	if n := ask(t, dsn, `select count(*)::text from trouble`); n != "0" {
		t.Errorf("%s troubles are noted", n)
	}
	says(t, refused(t, app.Options{Dir: filepath.Join(p.dir, "nowhere"), DSN: dsn}), "there is no folder", "programme.yml")
	says(t, refused(t, app.Options{Dir: t.TempDir(), DSN: dsn}), "holds no programme.yml")
}

// Where the database is stands in the configuration too: with a bad one, the
// accepted one is looked for where it was kept, and nowhere else.
func TestABadConfigurationStillFindsItsDatabase(t *testing.T) {
	t.Parallel()
	box, dsn, state := &letterbox{}, testpg.New(t), t.TempDir()
	p := newProgramme(t, relayAt(t, "", box, nil).Addr())
	p.file(t, "db-address", dsn+"\n")
	p.more = "database:\n  dsn_file: db-address\n"
	p.write(t)
	day := civil.Of(2016, 4, 1)
	a, err := start(t, app.Options{Dir: p.dir, State: state, Clock: day})
	if err != nil {
		t.Fatal(err)
	}
	if err := a.Close(context.Background()); err != nil {
		t.Fatal(err)
	}
	p.file(t, "programme.yml", "code: ONE\nnonsense: true\n")
	a, err = start(t, app.Options{Dir: p.dir, State: state, Clock: day})
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close(context.Background())
	says(t, troubles(t, a), "nonsense")
	if _, err := os.Stat(filepath.Join(state, "pg")); err == nil {
		t.Error("a private PostgreSQL was made")
	}
}

// The next run takes up a new site; one that is gone gets nothing more, and
// its troubles go with it.
func TestSitesComeAndGo(t *testing.T) {
	t.Parallel()
	box, dsn := &letterbox{}, testpg.New(t)
	p := newProgramme(t, relayAt(t, "", box, nil).Addr())
	a := open(t, p.dir, "2016-04-29", dsn)
	until(t, a, "2016-04-29")

	p.site(t, "NEW", "ilmi")
	if err := a.Look(t.Context()); err != nil {
		t.Fatal(err)
	}
	until(t, a, "2016-05-01")
	if told(box, "NEW") == 0 {
		t.Error("nobody was told about the new site")
	}

	if err := os.Remove(filepath.Join(p.dir, "sites/home.yml")); err != nil {
		t.Fatal(err)
	}
	exec(t, dsn, `insert into trouble (subject, since, text) values ('site:HOME', now(), 'HOME has no weather'), ('site:NEW', now(), 'NEW has no weather')`)
	if err := a.Look(t.Context()); err != nil {
		t.Fatal(err)
	}
	before := told(box, "HOME")
	until(t, a, "2016-05-06")
	if n := told(box, "HOME"); n != before {
		t.Errorf("%d more mails about the site that is gone", n-before)
	}
	silent(t, troubles(t, a), "HOME")
	if told(box, "Bag on at NEW") == 0 {
		t.Error("the site that stays gets nothing more")
	}
	board, err := a.Board(t.Context())
	if err != nil || len(board.Sites) != 1 {
		t.Errorf("the board shows %d sites: %v", len(board.Sites), err)
	}
}
