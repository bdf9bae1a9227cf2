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

var feb20 = app.Options{Clock: civil.Of(2016, 2, 20)}

// What a first start of two folders is refused for: nothing may be left behind.
func TestTwoProgrammesThatCantGoTogetherAreRefused(t *testing.T) {
	for _, row := range []struct {
		what string
		do   func(t *testing.T, p *pair) (dirs []string)
		says []string
	}{
		{"the same code", func(t *testing.T, p *pair) []string {
			p.southLines = "code: NORTH\n"
			return nil
		}, []string{"are both the programme NORTH", "give each its own code in programme.yml"}},
		{"the same folder", func(t *testing.T, p *pair) []string { return []string{p.north.dir, p.north.dir + "/."} }, []string{"is named twice"}},
		{"the same pages without paths", func(t *testing.T, p *pair) []string {
			p.northLines, p.southLines = "public_url: http://127.0.0.1:1\n", "public_url: http://127.0.0.1:1\n"
			return nil
		}, []string{"programme.yml:", "listen: " /* and the address */, "is where the pages of NORTH are, and nothing tells them apart", "give public_url a path of its own"}},
		{"a path that is one of the pages", func(t *testing.T, p *pair) []string {
			p.northLines, p.southLines = "public_url: http://127.0.0.1:1\n", "public_url: http://127.0.0.1:1/form\n"
			return nil
		}, []string{"public_url: /form is one of the pages of a programme at the root of"}},
		{"pages where the other's numbers are", func(t *testing.T, p *pair) []string {
			p.southLines = "listen: " + p.north.metrics + "\nmetrics: 127.0.0.1:0\n"
			return nil
		}, []string{"where the metrics of NORTH are"}},
		{"the same way in for answers", func(t *testing.T, p *pair) []string {
			at := freeAddr(t)
			p.northLines, p.southLines = "inbox: {lmtp: \""+at+"\"}\n", "inbox: {lmtp: \""+at+"\"}\n"
			return nil
		}, []string{"inbox.lmtp: is where answers to NORTH come in"}},
		{"the same address of answers", func(t *testing.T, p *pair) []string {
			p.southLines = "inbox: {lmtp: \"127.0.0.1:0\", address: " + northern + "}\n"
			return nil
		}, []string{"inbox.address: answers to NORTH come to the same address"}},
		{"the same database by two files", func(t *testing.T, p *pair) []string {
			dsn := testpg.New(t)
			p.north.file(t, "secrets/a", dsn+"\n")
			p.south.file(t, "secrets/b", dsn+"\n")
			p.northLines, p.southLines = "database: {dsn_file: secrets/a}\n", "database: {dsn_file: secrets/b}\n"
			return nil
		}, []string{"database.dsn_file: names the database of NORTH"}},
		{"the same database by two addresses", func(t *testing.T, p *pair) []string {
			dsn := testpg.New(t)
			p.north.file(t, "secrets/a", dsn+"\n")
			p.south.file(t, "secrets/b", dsn+map[bool]string{true: "&", false: "?"}[strings.Contains(dsn, "?")]+"application_name=x\n")
			p.northLines, p.southLines = "database: {dsn_file: secrets/a}\n", "database: {dsn_file: secrets/b}\n"
			return nil
		}, []string{"this database holds the memory of the programme NORTH", "is the programme SOUTH", "give SOUTH a database of its own", "--renamed NORTH=SOUTH"}},
		{"a bad folder beside a good one", func(t *testing.T, p *pair) []string {
			p.southLines = "ribons: {selfing: blue}\n"
			return nil
		}, []string{"programme.yml:", "ribons: unknown setting"}},
		{"both bad: both are told", func(t *testing.T, p *pair) []string {
			p.northLines, p.southLines = "ribons: {}\n", "metriks: x\n"
			return nil
		}, []string{"ribons", "metriks"}},
		{"a folder that isn't there", func(t *testing.T, p *pair) []string { return []string{p.north.dir, "/nowhere/south"} }, []string{"there is no folder /nowhere/south"}},
		{"a folder whose code can't be read", func(t *testing.T, p *pair) []string {
			p.southLines = "code: south\n"
			return nil
		}, []string{"code: \"south\" can't be a code here"}},
	} {
		t.Run(row.what, func(t *testing.T) {
			t.Parallel()
			p := newPair(t)
			dirs := row.do(t, p)
			p.write(t)
			if dirs == nil {
				dirs = []string{p.north.dir, p.south.dir}
			}
			says(t, p.refused(t, feb20, dirs...), row.says...)
			if mails := len(p.post.from(northern)) + len(p.post.from(southern)); mails > 0 {
				t.Errorf("%d mails went out", mails)
			}
		})
	}
	t.Run("one database for both by an option", func(t *testing.T) {
		p := newPair(t)
		says(t, p.refused(t, app.Options{Clock: feb20.Clock, DSN: testpg.New(t)}, p.north.dir, p.south.dir), "one database is for one programme", "dsn_file")
	})
}

// A single programme pointed at another one's database by mistake does nothing
// there; one that was renamed goes on.
func TestADatabaseKnowsItsProgramme(t *testing.T) {
	box := &letterbox{}
	p := newProgramme(t, relayAt(t, "127.0.0.1:0", box, nil).Addr())
	o := app.Options{Dir: p.dir, DSN: testpg.New(t), State: t.TempDir(), Clock: civil.Of(2016, 2, 20)}
	a, err := start(t, o)
	if err != nil {
		t.Fatal(err)
	}
	until(t, a, "2016-03-01")
	was := ask(t, o.DSN, lettersOf)
	two := strings.Replace(p.read(t, "programme.yml"), "code: ONE", "code: TWO", 1)
	p.file(t, "programme.yml", two)

	// While it runs, the code that was accepted stays.
	if err := a.Look(t.Context()); err == nil {
		t.Error("another code is accepted while it runs")
	}
	says(t, troubles(t, a), "programme.yml: code: is TWO, and this is the memory of ONE", "write ONE again", "--renamed ONE=TWO")
	if code := a.Programme().Code; code != "ONE" {
		t.Errorf("in force is %s", code)
	}
	if err := a.Close(context.Background()); err != nil {
		t.Fatal(err)
	}

	says(t, refused(t, o), "this database holds the memory of the programme ONE", "is the programme TWO", "start once with --renamed ONE=TWO", "nothing was changed")
	o.Renamed = map[string]string{"THREE": "TWO"}
	says(t, refused(t, o), "this database holds the memory of the programme ONE")
	if now := ask(t, o.DSN, lettersOf); now != was {
		t.Errorf("a refused start changed the letters:\n%s\nwere\n%s", now, was)
	}
	o.Renamed = map[string]string{"ONE": "TWO"}
	if a, err = start(t, o); err != nil {
		t.Fatal(err)
	}
	if code := a.Programme().Code; code != "TWO" || ask(t, o.DSN, lettersOf) != was {
		t.Errorf("renamed it is %s", code)
	}
	if err := a.Close(context.Background()); err != nil {
		t.Fatal(err)
	}
	o.Renamed = nil // once is enough
	if a, err = start(t, o); err != nil {
		t.Fatal(err)
	}
	until(t, a, "2016-03-03")
	if err := a.Close(context.Background()); err != nil {
		t.Fatal(err)
	}
	p.file(t, "programme.yml", strings.Replace(two, "code: TWO", "code: ONE", 1))
	says(t, refused(t, o), "memory of the programme TWO")
}

// A programme that had the state folder to itself gets a companion: its memory,
// its key and its journal come along. Then one is renamed, and folders move.
func TestAProgrammeThatWasAloneGetsACompanion(t *testing.T) {
	p := newPair(t)
	p.northLines = "public_url: http://" + p.listen + "\n" // as it was: without a path
	p.write(t)
	one, err := p.startDirs(t, feb20, p.north.dir)
	if err != nil {
		t.Fatal(err)
	}
	stop := closing(t, one)
	until(t, one.Apps()[0], "2016-03-01")
	alone := p.dsn("budcall")
	was := ask(t, alone, lettersOf)
	if was == "" {
		t.Fatal("nothing was told yet")
	}
	link := ask(t, alone, formLink)
	if status, _ := fetched(t, link); status != 200 {
		t.Fatalf("the form: %d", status)
	}
	stop()
	key := p.kept(t, "link.key")

	says(t, p.refused(t, feb20, p.south.dir, otherFolder(t, p)), "holds the memory of the programme NORTH, which isn't among these folders", "nothing was changed")

	both, stop := p.started(t, feb20)
	if now := ask(t, p.dsn("budcall_north"), lettersOf); now != was {
		t.Errorf("the letters are\n%s\nand were\n%s", now, was)
	}
	if p.kept(t, "NORTH/link.key") != key || p.kept(t, "NORTH/reports.jsonl") == "" || p.kept(t, "link.key") != "" {
		t.Error("the key or the journal isn't in the programme's folder")
	}
	if status, body := fetched(t, link); status != 200 {
		t.Errorf("the link of a mail from before: %d\n%s", status, body)
	}
	until(t, both.Apps()[0], "2016-03-03")
	until(t, both.Apps()[1], "2016-03-03")
	was = ask(t, p.dsn("budcall_north"), lettersOf)
	stop()

	// One alone again finds its home, and commands do.
	one, err = p.startDirs(t, feb20, p.north.dir)
	if err != nil {
		t.Fatal(err)
	}
	if now := ask(t, p.dsn("budcall_north"), lettersOf); now != was {
		t.Errorf("alone again the letters are\n%s", now)
	}
	if err := one.Close(context.Background()); err != nil {
		t.Fatal(err)
	}
	for _, o := range []app.Options{p.options(t, "NORTH"), {State: filepath.Join(p.state, "NORTH")}} {
		o, err := app.Locate(app.Options{State: o.State}, "", false)
		if err != nil {
			t.Fatal(err)
		}
		beside(t, o, func(b *app.Beside) {
			if b.Programme().Code != "NORTH" || !b.Alone {
				t.Errorf("%s, alone %t", b.Programme().Code, b.Alone)
			}
		})
	}

	// A code that was changed by mistake keeps that programme from starting, and no other.
	p.northLines += "code: NORHT\n"
	p.write(t)
	both, stop = p.started(t, feb20)
	where := both.Where()
	if where[0].Bad == nil || where[1].Bad != nil || len(both.Apps()) != 1 {
		t.Fatalf("%+v", where)
	}
	says(t, where[0].Bad.Error(), "is the folder of the programme NORTH, and says now that it is NORHT", "--renamed NORTH=NORHT")
	if _, scrape := fetched(t, "http://"+p.north.metrics+"/metrics"); !strings.Contains(scrape, `budcall_ready{programme="NORTH"} 0`) {
		t.Error("the numbers don't say that NORTH isn't ready")
	}
	stop()
	if _, err := os.Stat(filepath.Join(p.state, "NORHT")); err == nil {
		t.Error("a new memory was begun under the mistaken code")
	}

	// On purpose.
	renamed := feb20
	renamed.Renamed = map[string]string{"NORTH": "NORHT"}
	both, stop = p.started(t, renamed)
	if now := ask(t, p.dsn("budcall_norht"), lettersOf); now != was || both.Apps()[0].Programme().Code != "NORHT" {
		t.Errorf("renamed the letters are\n%s\nand were\n%s", now, was)
	}
	stop()
	if _, stop = p.started(t, feb20); p.kept(t, "NORHT/link.key") != key {
		t.Error("the key didn't come along")
	}
	stop()
}

// kept gives a file of the state folder, empty where there is none.
func (p *pair) kept(t *testing.T, name string) string {
	t.Helper()
	body, err := os.ReadFile(filepath.Join(p.state, name))
	if err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	return string(body)
}

// otherFolder is a folder of a third programme.
func otherFolder(t *testing.T, p *pair) string {
	t.Helper()
	third := newProgramme(t, p.north.relay)
	p.own(t, third, "EAST", "")
	return third.dir
}

// One programme's trouble is no other's: a folder that has become bad, a database
// that is away. It is made up for as soon as it is over.
func TestTroubleOfOneProgrammeKeepsNoOtherFromItsWork(t *testing.T) {
	p := newPair(t)
	dsn, stopServer, startServer := ownServer(t)
	p.south.file(t, "secrets/dsn", dsn+"\n")
	p.southLines = "database: {dsn_file: secrets/dsn}\n"
	p.write(t)
	real := app.Options{}
	i, stop := p.started(t, real)
	if len(i.Apps()) != 2 {
		t.Fatal("not both started")
	}
	stop()

	// A bad folder: what was accepted before is in force.
	p.southLines += "ribons: {}\n"
	p.write(t)
	i, stop = p.started(t, real)
	if len(i.Apps()) != 2 || i.Apps()[1].Programme().Code != "SOUTH" {
		t.Errorf("a bad folder keeps a programme from starting: %+v", i.Where())
	}
	says(t, troubles(t, i.Apps()[1]), "ribons")
	silent(t, troubles(t, i.Apps()[0]), "ribons")
	stop()

	// A folder that has begun to take what is the other's.
	p.southLines = "database: {dsn_file: secrets/dsn}\ninbox: {lmtp: \"127.0.0.1:0\", address: " + northern + "}\n"
	p.write(t)
	i, stop = p.started(t, real)
	if len(i.Apps()) != 2 || i.Apps()[1].Programme().Inbox.Address != southern {
		t.Errorf("%+v", i.Where())
	}
	says(t, troubles(t, i.Apps()[1]), "answers to NORTH come to the same address")
	stop()
	p.southLines = "database: {dsn_file: secrets/dsn}\n"
	p.write(t)

	// A database that is away.
	stopServer()
	i, stop = p.started(t, real)
	if where := i.Where(); where[0].Bad != nil || where[1].Bad == nil {
		t.Fatalf("%+v", where)
	}
	status, text := p.north.readyz()
	if status != 503 {
		t.Errorf("/readyz: %d %s", status, text)
	}
	says(t, text, "SOUTH: it can't be started")
	work, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- i.Run(work) }()
	eventually(t, "NORTH works", func() bool { _, text := p.north.readyz(); return !strings.Contains(text, "NORTH") })
	startServer()
	eventually(t, "SOUTH works too", func() bool { status, _ := p.north.readyz(); return status == 200 })
	if len(i.Apps()) != 2 {
		t.Errorf("%+v", i.Where())
	}
	// The work is left off and begun anew, as at SIGHUP: both look at their folders at once.
	cancel()
	if err := <-ended; err != nil {
		t.Error(err)
	}
	p.northLines, p.southLines = "name: North anew\n", p.southLines+"name: South anew\n"
	p.write(t)
	work, cancel = context.WithCancel(t.Context())
	go func() { ended <- i.Run(work) }()
	eventually(t, "both have what is new", func() bool {
		return i.Apps()[0].Programme().Name == "North anew" && i.Apps()[1].Programme().Name == "South anew"
	})
	cancel()
	if err := <-ended; err != nil {
		t.Error(err)
	}
	stop()
}
