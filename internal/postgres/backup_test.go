package postgres

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/archive"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
	"budcall/internal/season"
	"budcall/internal/trail"
)

var may2 = time.Date(2031, 5, 2, 14, 0, 0, 0, time.UTC)

// lived is a memory with something in many tables.
func lived(t testing.TB) *DB {
	t.Helper()
	db := memory(t)
	ctx := t.Context()
	_, err := db.pool.Exec(ctx, `
		insert into raw_copy (source, fetched_at, sha256, body) values ('station:MET', now(), '\x00ff', '\x1f8b00');
		insert into station_day (station, day, min_c, max_c, mean_c, mark, raw_id, seen_at, provisional, mean_of)
			select 'MET', date '2031-01-01' + n, -1.5 + n / 7.0, null, 'NaN', E'tab\tand\nline', 1, now(), n % 2 = 0, '' from generate_series(0, 999) n;
		insert into station_year (station, year, days) values ('MET', 2030, decode(repeat('ab', 730), 'hex'));
		insert into trail_entry (key, season, kind, subject, person, day, at, why, way, data) values ('k', 2031, 'note', 'A-001', 'otso', '2031-05-01', now(), 'ä "quoted" \ back', 'command', '{}')`)
	if err != nil {
		t.Fatal(err)
	}
	accept(t, db)
	report(t, db, "k1", trail.Report{Person: "otso", Site: "HOME", Task: "bag on", Kind: trail.BagsOn, Tree: "T1", Selfing: 2, Control: 1, Day: civil.Of(2031, 5, 1), At: may2, Way: "form"})
	letter(t, db, "sent", notice.Sent)
	letter(t, db, "waiting", notice.Waiting)
	return db
}

func accept(t testing.TB, db *DB) {
	t.Helper()
	if err := db.Accept(t.Context(), map[string][]byte{"programme.yml": []byte("code: ONE\n")}, "folder", may2); err != nil {
		t.Fatal(err)
	}
}

func report(t testing.TB, db *DB, key string, r trail.Report) {
	t.Helper()
	then := Plan{Run: Run{Name: "report", Day: r.Day, Nominal: key, Due: r.At, At: r.At}, Beside: true, Pieces: map[Phase][]string{Tell: {"all"}}}
	if _, err := db.Report(t.Context(), key, 2031, []trail.Report{r}, then); err != nil {
		t.Fatal(err)
	}
}

func letter(t testing.TB, db *DB, id string, state notice.State) {
	t.Helper()
	if _, err := db.pool.Exec(t.Context(), `
		insert into letter (id, channel, target, kind, content, written_at, expires_at, next_try, state)
		values ($1, 'mail', 'otso', 'calls', '{"id": "x"}', $2, $2::timestamptz + interval '1 day', $2, $3)`, id, may2, string(state)); err != nil {
		t.Fatal(err)
	}
}

// backedUp gives a backup of a memory.
func backedUp(t testing.TB, db *DB) []byte {
	t.Helper()
	var file bytes.Buffer
	if _, err := db.Backup(t.Context(), &file, BackupOptions{Program: "test", MadeAt: may2, Now: may2, Secrets: map[string][]byte{"link.key": []byte("key")}}); err != nil {
		t.Fatal(err)
	}
	return file.Bytes()
}

func opened(t testing.TB, file []byte) *archive.Archive {
	t.Helper()
	a, err := archive.Open(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// everything is the content of every table of ours, but for what a restore
// changes on purpose.
func everything(t testing.TB, dsn string) map[string]string {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	list, err := columns(t.Context(), conn)
	if err != nil {
		t.Fatal(err)
	}
	tables, _ := byTable(list)
	all := map[string]string{}
	for _, table := range tables {
		if slices.Contains([]string{"held", "run", "work", "letter"}, table.Name) {
			continue
		}
		var text string
		if err := conn.QueryRow(t.Context(), `select coalesce(string_agg(r::text, E'\n' order by r::text), '') from `+table.Name+` r`).Scan(&text); err != nil {
			t.Fatal(err)
		}
		all[table.Name] = text
	}
	return all
}

func TestARestoredMemoryIsAsItWasAndSendsNothing(t *testing.T) {
	db := lived(t)
	target := fresh(t, false)
	a := opened(t, backedUp(t, db))
	if err := Restore(t.Context(), a, RestoreOptions{DSN: target, Now: may2.AddDate(0, 0, 14)}); err != nil {
		t.Fatal(err)
	}
	if err := Migrate(t.Context(), target); err != nil { // the job queue
		t.Fatal(err)
	}
	want, got := everything(t, db.pool.Config().ConnString()), everything(t, target)
	for table, text := range want {
		if got[table] != text {
			t.Errorf("%s differs:\n got %.300s\nwant %.300s", table, got[table], text)
		}
	}
	back := process(t, target)
	h, held, err := back.Held(t.Context())
	if err != nil || !held || h.Why != Restored || !h.BackupAt.Equal(may2) {
		t.Errorf("held is %+v, %t, %v", h, held, err)
	}
	if s := one[string](t, back, `select string_agg(id || ' ' || state, ', ' order by id) from letter`); s != "sent sent, waiting held" {
		t.Errorf("letters stand as %s", s)
	}
	if n, err := back.QueueLetters(t.Context(), may2.AddDate(1, 0, 0)); err != nil || n != 0 {
		t.Errorf("%d letters are on their way, %v", n, err)
	}
	if n := one[int](t, back, `select count(*) from run where phase <> 'done'`); n != 0 {
		t.Errorf("%d runs of the past go on", n)
	}
	// Numbers given since the backup don't come to mean something else.
	e := trail.Entry{Season: 2031, Kind: trail.LabNoted, Subject: "A-001", Person: "otso", Day: civil.Of(2031, 5, 3), At: may2, Why: "after", Way: "command"}
	if id, _, err := back.Enter(t.Context(), "k2", e); err != nil || id != 1+gap+1 {
		t.Errorf("the next entry has the number %d, %v", id, err)
	}
}

// A table that no migration's text was seen to make would be left out of
// backups; a function would stand in the way of a restore.
func TestEveryTableOfTheDatabaseIsBackedUp(t *testing.T) {
	db := memory(t)
	there := one[string](t, db, `select string_agg(relname, ' ' order by relname) from pg_class where relkind in ('r', 'v', 'm', 'p', 'f') and relnamespace = 'public'::regnamespace and relname <> 'migration'`)
	tables, err := made(makesTable)
	slices.Sort(tables)
	if err != nil || strings.Join(tables, " ") != there {
		t.Errorf("backed up are %s, there are %s (%v)", strings.Join(tables, " "), there, err)
	}
	there = one[string](t, db, `select coalesce(string_agg(proname, ' ' order by proname), '') from pg_proc where pronamespace = 'public'::regnamespace`)
	functions, err := made(makesFunction)
	if err != nil || strings.Join(functions, " ") != there {
		t.Errorf("functions known are %s, there are %s (%v)", functions, there, err)
	}
	if there := one[int](t, db, `select count(*) from pg_type where typnamespace = 'public'::regnamespace and typtype in ('e', 'd', 'r')`); there != 0 {
		t.Errorf("%d types of our own: a restore must drop them too", there)
	}
}

func TestARestoreRefuses(t *testing.T) {
	db := lived(t)
	file := backedUp(t, db)
	newer := opened(t, file)
	newer.Schema = append(slices.Clone(newer.Schema), archive.Step{Name: "migrations/999_later.sql"})
	other := opened(t, file)
	other.Schema = slices.Clone(other.Schema)
	other.Schema[0].SHA256 = strings.Repeat("0", 64)
	short := opened(t, file)
	short.Tables = slices.Clone(short.Tables)
	short.Tables[slices.IndexFunc(short.Tables, func(t archive.Table) bool { return t.Name == "station_day" })].Rows++
	full := fresh(t, true)
	if conn, err := pgx.Connect(t.Context(), full); err != nil {
		t.Fatal(err)
	} else if _, err := conn.Exec(t.Context(), `insert into trouble (subject, since, text) values ('x', now(), 'kept')`); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		a    *archive.Archive
		o    RestoreOptions
		says string
	}{
		"a newer schema":              {newer, RestoreOptions{DSN: full}, "newer budcall (test; its tables have seen 999_later)"},
		"another text of a migration": {other, RestoreOptions{DSN: full}, "made by another 001_season"},
		"a database with rows":        {opened(t, file), RestoreOptions{DSN: full}, "its table trouble holds rows"},
		"rows that are missing":       {short, RestoreOptions{DSN: full, Replace: true}, "table station_day has 1000 rows, and 1001 were backed up"},
		"what must come before fails": {opened(t, file), RestoreOptions{DSN: full, Replace: true, Before: func(context.Context) error { return errors.New("no room for the key") }}, "no room for the key (nothing was changed)"},
		"a program that works on it":  {opened(t, file), RestoreOptions{DSN: db.pool.Config().ConnString(), Replace: true}, "budcall runs on this database"},
		"no database of that name":    {opened(t, file), RestoreOptions{DSN: in(t, "nowhere")}, "there is no such database"},
	} {
		t.Run(name, func(t *testing.T) {
			err := Restore(t.Context(), c.a, c.o)
			if err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("it says %v, not %q", err, c.says)
			}
		})
	}
	back := process(t, full)
	if kept := one[string](t, back, `select text from trouble`); kept != "kept" {
		t.Error("a refused restore changed the database")
	}
	if one[bool](t, back, `select exists (select 1 from station_day)`) {
		t.Error("a refused restore left rows behind")
	}
}

// A backup of an earlier schema is brought up to this one's.
func TestABackupOfAnEarlierSchemaIsRestored(t *testing.T) {
	early := fresh(t, false)
	conn, err := pgx.Connect(t.Context(), early)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	const seen = 4 // migrations, before the trail
	if err := applySome(t.Context(), conn, 0, seen); err != nil {
		t.Fatal(err)
	}
	if _, err := conn.Exec(t.Context(), `insert into station_year (station, year, days) values ('MET', 2030, '\xabcd')`); err != nil {
		t.Fatal(err)
	}
	db, err := Open(t.Context(), Options{DSN: early, MaxConns: 2})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	a := opened(t, backedUp(t, db))
	target := fresh(t, false)
	if err := Restore(t.Context(), a, RestoreOptions{DSN: target, Now: may2}); err != nil {
		t.Fatal(err)
	}
	if err := Migrate(t.Context(), target); err != nil {
		t.Fatal(err)
	}
	if days := one[string](t, process(t, target), `select encode(days, 'hex') from station_year where stored_at is not null`); days != "abcd" {
		t.Errorf("the year reads %s", days)
	}
}

// What was told since the backup isn't told again, and the rest is held until
// somebody says so; the time for an answer begins then.
func TestWhatIsOwedIsHeldAndToldOnce(t *testing.T) {
	db := memory(t)
	ctx := t.Context()
	if err := db.Hold(ctx, Hold{Since: may2, Why: Restored, BackupAt: may2.AddDate(0, 0, -14)}); err != nil {
		t.Fatal(err)
	}
	days := civil.Range{First: civil.Of(2031, 5, 3), Last: civil.Of(2031, 5, 9)}
	state, err := json.Marshal(season.State{Standing: call.Go, Days: days, Serial: 1, AnswerBy: may2.Add(-2 * time.Hour)})
	if err != nil {
		t.Fatal(err)
	}
	told := Noted{At: may2.AddDate(0, 0, -3), Letter: &NotedLetter{
		ID: "L1", Channel: notice.ByMail, Target: "otso", Kind: "calls", Written: may2.AddDate(0, 0, -3),
		Told: []NotedTelling{{Site: "HOME", Season: 2031, Task: call.BagOn, Serial: 1, Person: "otso", Standing: call.Go, Reason: call.BestDaysBegin, Days: days, At: may2.AddDate(0, 0, -3), State: state}},
	}}
	for i := range 2 { // twice changes nothing
		if found, err := db.Recover(ctx, []Noted{told}, Plan{}); err != nil || found.Letters != 1-i {
			t.Fatalf("%+v, %v", found, err)
		}
	}
	if by := one[time.Time](t, db, `select answer_by from site_call where site = 'HOME'`); !by.Equal(may2.Add(-2 * time.Hour)) {
		t.Errorf("an answer of who was told since the backup is waited for until %s", by)
	}
	decideBagging(t, db, "HOME", days)  // told already: the same serial
	decideBagging(t, db, "OTHER", days) // news
	lines, err := db.Owed(ctx)
	if err != nil || len(lines) != 1 || lines[0].Site != "OTHER" || !lines[0].Newest || lines[0].Now != call.Go || lines[0].Days != days {
		t.Fatalf("owed are %+v, %v", lines, err)
	}
	if at := one[*time.Time](t, db, `select answer_by from site_call where task = 'bag on' and site = 'OTHER'`); at != nil {
		t.Errorf("an answer is waited for although nobody was asked: %s", at)
	}
	if n := tellNow(t, db, "first"); n != 0 {
		t.Errorf("%d things went into letters while sending is held", n)
	}
	later := may2.Add(26 * time.Hour)
	then := Plan{Run: Run{Name: "report", Day: civil.Of(2031, 5, 3), Nominal: "released", Due: later, At: later}, Beside: true, Pieces: map[Phase][]string{Tell: {"all"}}}
	if n, err := db.Sort(ctx, Sorting{At: later, Release: []int64{lines[0].ID}, Then: then}); err != nil || n != 1 {
		t.Fatalf("%d were released, %v", n, err)
	}
	if by := one[time.Time](t, db, `select (state->>'answer_by')::timestamptz from site_call where task = 'bag on' and site = 'OTHER'`); !by.Equal(later.Add(24 * time.Hour)) {
		t.Errorf("an answer is waited for until %s", by)
	}
	if by := one[time.Time](t, db, `select answer_by from site_call where task = 'bag on' and site = 'OTHER'`); !by.Equal(later.Add(24 * time.Hour)) {
		t.Errorf("an answer is waited for until %s", by)
	}
	if n := tellNow(t, db, "released"); n != 1 {
		t.Errorf("%d things went into letters after one was released", n)
	}
	if s := one[string](t, db, `select state from letter where id <> 'L1'`); s != "waiting" {
		t.Errorf("the released letter is %s", s)
	}
	if _, err := db.Sort(ctx, Sorting{At: later, End: true, Then: then}); err != nil {
		t.Fatal(err)
	}
	if _, held, err := db.Held(ctx); held || err != nil {
		t.Errorf("sending is still held, %v", err)
	}
}

// decideBagging stores that bagging is on at a site, and that its lead is to be told.
func decideBagging(t *testing.T, db *DB, site string, days civil.Range) {
	t.Helper()
	state := season.State{Standing: call.Go, Days: days, Serial: 1, AnswerBy: may2.Add(24 * time.Hour), Asked: []season.Asking{{Person: "otso", At: may2}}}
	d := Decision{
		Site: site, Season: 2031, At: may2,
		Outcome: season.Outcome{Calls: map[call.Task]season.State{call.BagOn: state}, Owed: []season.Owed{{Task: call.BagOn, Standing: call.Go, Reason: call.BestDaysBegin, Person: "otso", Serial: 1}}},
		Items:   []notice.Item{{Site: site, Task: call.BagOn, Days: days}},
	}
	err := pgx.BeginFunc(t.Context(), db.pool, func(tx pgx.Tx) error { return (&Book{db: db, tx: tx}).Decide(t.Context(), d) })
	if err != nil {
		t.Fatal(err)
	}
}

// tellNow does the oldest piece of telling that is open, or begins one, and
// gives how many things went into letters.
func tellNow(t *testing.T, db *DB, name string) (n int) {
	t.Helper()
	plan := Plan{Run: Run{Name: "report", Day: civil.Of(2031, 5, 2), Nominal: name, Due: may2, At: may2}, Beside: true, Pieces: map[Phase][]string{Tell: {"all"}}}
	if _, err := db.Begin(t.Context(), plan); err != nil {
		t.Fatal(err)
	}
	piece := one[int64](t, db, `select min(id) from work where done_at is null and phase = 'tell'`)
	if err := db.Tell(t.Context(), piece, func(_ Run, owed []notice.Due, _ []string) (out []notice.Envelope, err error) {
		n = len(owed)
		for _, o := range owed {
			out = append(out, notice.Envelope{Owed: []int64{o.ID}, Parcel: notice.Parcel{
				ID: fmt.Sprintf("%s-%d", name, o.ID), Channel: notice.ByMail, Target: o.Person, Kind: "calls", Content: []byte(`{}`), WrittenAt: may2, ExpiresAt: may2.AddDate(0, 0, 3),
			}})
		}
		return out, nil
	}); err != nil {
		t.Fatal(err)
	}
	return n
}
