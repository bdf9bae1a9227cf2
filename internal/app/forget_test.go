package app_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"io/fs"
	"log/slog"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/jackc/pgx/v5"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/testpg"
	"budcall/internal/trail"
	"budcall/internal/webhook"
)

// quux is somebody whose code, name, address and number stand nowhere by chance.
const (
	quuxCode  = "quuxla"
	quuxName  = "Pekka Quuxinen"
	quuxEmail = "p.quux@birches.example"
	quuxPhone = "+358 457 111 2223"
)

// quuxTraces are what must be left nowhere.
var quuxTraces = regexp.MustCompile(`(?i)quux|pekka|457[ -]?111[ -]?2223|4571112223`)

func quuxPeople(with bool) string {
	people := "people:\n  - {code: maia, name: Maia Invented, email: maia@birches.example, phone: \"+358 457 000 0001\"}\n"
	if with {
		people += fmt.Sprintf("  - {code: %s, name: %s, email: %s, phone: %q}\n", quuxCode, quuxName, quuxEmail, quuxPhone)
	}
	return people + "  - {code: ilmi, name: Ilmi Invented, email: ilmi@birches.example}\n"
}

// quuxSeason is a season of theirs, in the middle of May.
type quuxSeason struct {
	*app.App
	p   *programme
	o   app.Options
	box *letterbox

	hook *webhook.Sink
}

// livedByQuux lives a season until the middle of May, with a trace of the
// person in whatever can hold one.
func livedByQuux(t *testing.T, log *slog.Logger) quuxSeason {
	t.Helper()
	box := &letterbox{}
	var calls atomic.Int32
	p, hook := hooked(t, box, func(webhook.Delivery) webhook.Answer { // some wait to be sent
		if calls.Add(1) > 2 {
			return webhook.Answer{Code: http.StatusInternalServerError}
		}
		return webhook.Answer{}
	})
	p.more += "coordinator_deputy: ilmi\nlaboratory: ilmi\ninbox:\n  lmtp: 127.0.0.1:0\n"
	p.file(t, "people.yml", quuxPeople(true))
	p.site(t, "HOME", quuxCode)
	p.site(t, "FARM", "ilmi")
	p.write(t)
	s := quuxSeason{p: p, box: box, hook: hook, o: app.Options{Logger: log, Dir: p.dir, DSN: testpg.New(t), State: t.TempDir(), Clock: civil.Of(2016, 4, 10)}}
	var err error
	if s.App, err = start(t, s.o); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close(context.Background()) })
	until(t, s.App, "2016-05-04")
	saidBy(t, s.o, app.Said{Site: "HOME", Person: quuxCode, Kind: trail.BagsOn, Trees: []string{"T1"}, Selfing: 2, Control: 1})
	saidBy(t, s.o, app.Said{Site: "HOME", Person: "maia", Kind: trail.Problem, Note: "Pekka fell; ring 0457-111 2223"})
	s.mails(t)
	beside(t, s.o, func(b *app.Beside) {
		for _, in := range []app.Entering{
			{Kind: trail.LabReceived, Codes: []string{"A-7 " + quuxName}, Person: quuxCode, Why: "Pekka brought it", Data: trail.Data{Receipt: &trail.Receipt{Packets: 1, Condition: "Quuxinen's bag is torn"}}},
			{Kind: trail.LabNoted, Codes: []string{"HOME-1"}, Person: "maia", Why: "says " + quuxName},
		} {
			if _, err := b.Enter(t.Context(), in); err != nil {
				t.Fatal(err)
			}
		}
		if _, _, err := b.WithdrawLinks(t.Context(), quuxCode); err != nil {
			t.Fatal(err)
		}
	})
	if err := s.DB().Raise(t.Context(), "mail to "+quuxCode, "Mail to "+quuxName+" comes back.", at("2016-05-04 12:00")); err != nil {
		t.Fatal(err)
	}
	until(t, s.App, "2016-05-12")
	return s
}

// mails are those that come in: an answer with a photo, one that waits for a
// yes, and somebody else's that tells of the person in several ways.
func (s quuxSeason) mails(t *testing.T) {
	t.Helper()
	from := func(who, name, fields, body string) string {
		return "From: " + name + " <" + who + ">\r\nTo: calls@birches.example\r\nDate: Wed, 04 May 2016 12:00:00 +0300\r\nMIME-Version: 1.0\r\n" + fields + "\r\n" + body
	}
	for _, raw := range []string{
		string(answerWithPhoto(t, s.o.DSN, quuxCode, quuxName+" <"+quuxEmail+">")),
		from(quuxEmail, quuxName, "Message-ID: <2@quux.example>\r\nContent-Type: text/plain\r\n", "T1 2+2\r\n"),
		from("ilmi@birches.example", "Ilmi", "Message-ID: <3@ilmi.example>\r\nContent-Type: text/plain; charset=utf-8\r\nContent-Transfer-Encoding: base64\r\n", base64.StdEncoding.EncodeToString([]byte("T1 2+1\r\nPekka says the road is closed"))+"\r\n"),
		from("stranger@elsewhere.example", "Stranger", "Message-ID: <4@elsewhere.example>\r\nContent-Type: text/plain\r\n", "Is Quuxinen there? 0457 111 2223\r\n"),
	} {
		if code := handOver(t, s.InboxAddr(), []byte(raw)); code != 250 {
			t.Fatalf("answered %d", code)
		}
		readAll(t, s.App)
	}
	if n := ask(t, s.o.DSN, `select count(*) || ' photo, ' || (select count(*) from arrived where state = 'held') || ' held' from photo`); n != "1 photo, 1 held" {
		t.Fatalf("%s: the season needs both", n)
	}
}

// answerWithPhoto is an answer to the last call that somebody got.
func answerWithPhoto(t *testing.T, dsn, code, from string) []byte {
	t.Helper()
	token := ask(t, dsn, `select id from letter where target = $1 and kind = 'calls' order by written_at desc limit 1`, code)
	var photo bytes.Buffer
	if err := jpeg.Encode(&photo, image.NewGray(image.Rect(0, 0, 8, 8)), nil); err != nil {
		t.Fatal(err)
	}
	return []byte("From: " + from + "\r\nTo: calls@birches.example\r\nDate: Wed, 04 May 2016 12:00:00 +0300\r\nIn-Reply-To: <" + token + "@birches.example>\r\n" +
		"Message-ID: <1@phone.example>\r\nMIME-Version: 1.0\r\nContent-Type: multipart/mixed; boundary=b\r\n\r\n" +
		"--b\r\nContent-Type: text/plain\r\n\r\nT1 3+1\r\nPekka's ladder broke\r\n--b\r\nContent-Type: image/jpeg; name=pekka.jpg\r\nContent-Transfer-Encoding: base64\r\n\r\n" +
		base64.StdEncoding.EncodeToString(photo.Bytes()) + "\r\n--b--\r\n")
}

// tracesIn walks the columns of every table of a database, the queue's too, and
// the files of a state folder, and gives where a trace of the person is.
func tracesIn(t *testing.T, o app.Options) (found map[string]string) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), o.DSN)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	rows, err := conn.Query(t.Context(), `
		select table_schema, table_name, column_name, data_type from information_schema.columns join information_schema.tables using (table_schema, table_name)
		where table_type = 'BASE TABLE' and table_schema not in ('pg_catalog', 'information_schema')`)
	if err != nil {
		t.Fatal(err)
	}
	type column struct{ Schema, Table, Name, Type string }
	list, err := pgx.CollectRows(rows, pgx.RowToStructByPos[column])
	if err != nil || len(list) < 100 {
		t.Fatalf("%d columns, %v", len(list), err)
	}
	found = map[string]string{}
	for _, c := range list {
		as := "::text"
		if c.Type == "bytea" {
			as = ""
		}
		rows, err := conn.Query(t.Context(), fmt.Sprintf(`select %s%s from %s where %[1]s is not null`, pgx.Identifier{c.Name}.Sanitize(), as, pgx.Identifier{c.Schema, c.Table}.Sanitize()))
		if err != nil {
			t.Fatal(err)
		}
		values, err := pgx.CollectRows(rows, pgx.RowTo[[]byte])
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range values {
			if trace := aTrace(opened(v)); trace != "" {
				found[c.Table+"."+c.Name] = trace
			}
		}
	}
	err = filepath.WalkDir(o.State, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		body, err := os.ReadFile(path)
		if trace := aTrace(append(body, path...)); trace != "" {
			found[filepath.Base(path)] = trace
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// aTrace gives a trace with what is around it; empty where there is none.
func aTrace(b []byte) string {
	at := quuxTraces.FindIndex(b)
	if at == nil {
		return ""
	}
	return fmt.Sprintf("%q", b[max(0, at[0]-60):min(len(b), at[1]+60)])
}

// coded is what may be base64, of either kind, or hex.
var coded = regexp.MustCompile(`[A-Za-z0-9+/_-]{16,}=*`)

// opened is a value with what is packed or encoded in it beside it.
func opened(v []byte) []byte {
	out := bytes.Clone(v)
	if r, err := gzip.NewReader(bytes.NewReader(v)); err == nil {
		if whole, err := io.ReadAll(r); err == nil {
			out = append(out, opened(whole)...)
		}
	}
	for _, m := range coded.FindAll(v, -1) {
		for _, decode := range []func(string) ([]byte, error){base64.RawStdEncoding.DecodeString, base64.RawURLEncoding.DecodeString, hex.DecodeString} {
			if plain, err := decode(strings.TrimRight(string(m), "=")); err == nil {
				out = append(out, plain...)
			}
		}
	}
	return out
}

// placed are the places where a lived season has a trace of a person: each must
// be there before, so that the walk proves something.
var placed = []string{
	"accepted_config.files", "report.person", "report.note", "letter.target", "letter.content", "letter.id", "owed.person", "owed.item", "owed.state", "site_call.state",
	"trail_entry.person", "trail_entry.why", "trail_entry.data", "arrived.raw", "arrived.person", "arrived.asked", "arrived.reports", "photo.person",
	"link_turn.person", "trouble.subject", "trouble.text", "river_job.args", "reports.jsonl",
}

func TestNoTraceOfAForgottenPersonIsLeftAnywhere(t *testing.T) {
	s := livedByQuux(t, nil)
	var onDuty *app.OnDuty
	beside(t, s.o, func(b *app.Beside) {
		_, err := b.Forget(t.Context(), s.o.State, quuxCode, true)
		if !errors.As(err, &onDuty) {
			t.Fatalf("somebody with duties: %v", err)
		}
		says(t, err.Error(), "can't be forgotten yet", "the lead of HOME", "people.yml names them")
	})
	before := tracesIn(t, s.o)
	for _, place := range placed {
		if before[place] == "" {
			t.Errorf("the season leaves no trace in %s: %v", place, before)
		}
	}
	old := filepath.Join(t.TempDir(), "old.backup")
	beside(t, s.o, func(b *app.Beside) {
		if _, err := b.Backup(t.Context(), app.BackupRequest{State: s.o.State, Out: old}); err != nil {
			t.Fatal(err)
		}
	})

	s.p.site(t, "HOME", "maia")
	s.p.file(t, "people.yml", quuxPeople(false))
	if err := s.Look(t.Context()); err != nil {
		t.Fatal(err)
	}
	until(t, s.App, "2016-05-13")
	beside(t, s.o, func(b *app.Beside) {
		looked, err := b.Forget(t.Context(), s.o.State, quuxCode, false)
		if err != nil || looked.Traces() == 0 || looked.Photos != 1 {
			t.Fatalf("%+v, %v", looked, err)
		}
		if now := tracesIn(t, s.o); len(now) < len(before) {
			t.Errorf("a look took traces away: %v", now)
		}
		done, err := b.Forget(t.Context(), s.o.State, quuxCode, true)
		if err != nil || done.Mails != 4 {
			t.Fatalf("%+v, %v", done, err)
		}
		t.Logf("%+v", done)
	})
	for place, trace := range tracesIn(t, s.o) {
		t.Errorf("a trace is left in %s: %s", place, trace)
	}
	until(t, s.App, "2016-05-25") // who goes on working brings none back
	for place, trace := range tracesIn(t, s.o) {
		t.Errorf("a trace came back in %s: %s", place, trace)
	}
	if err := s.Close(t.Context()); err != nil {
		t.Fatal(err)
	}

	back := s.o
	back.DSN = testpg.New(t)
	got, err := app.Restore(t.Context(), app.RestoreRequest{Options: back, File: old})
	if err != nil || got.Forgotten != 1 {
		t.Fatalf("%+v, %v", got, err)
	}
	for place, trace := range tracesIn(t, back) {
		t.Errorf("restored from an old backup, a trace is in %s: %s", place, trace)
	}
}

func TestWhoIsAskedIsForgottenOnlyOnceThatIsAnswered(t *testing.T) {
	p := newProgramme(t, relayAt(t, "127.0.0.1:0", &letterbox{}, nil).Addr())
	o := app.Options{Dir: p.dir, DSN: testpg.New(t), State: t.TempDir(), Clock: civil.Of(2016, 4, 25)}
	a, err := start(t, o)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close(context.Background())
	until(t, a, "2016-04-29")
	forget := func() (err error) {
		beside(t, o, func(b *app.Beside) { _, err = b.Forget(t.Context(), o.State, "otso", true) })
		return err
	}
	p.site(t, "HOME", "ilmi")
	p.file(t, "people.yml", strings.Replace(p.read(t, "people.yml"), "  - {code: otso, name: Otso Invented, email: otso@birches.example}\n", "", 1))
	if err := a.Look(t.Context()); err != nil {
		t.Fatal(err)
	}
	var onDuty *app.OnDuty
	if err := forget(); !errors.As(err, &onDuty) || len(onDuty.Reasons) != 1 || !strings.Contains(onDuty.Reasons[0], "the call bag on at HOME is with them") {
		t.Fatalf("while the call is with them: %v", err)
	}
	saidBy(t, o, app.Said{Site: "HOME", Person: "ilmi", Kind: trail.BagsOn, Trees: []string{"T1"}, Selfing: 2, Control: 1})
	until(t, a, "2016-04-30")
	if err := forget(); err != nil {
		t.Errorf("once it is answered: %v", err)
	}
	if err := forget(); err == nil || !strings.Contains(err.Error(), "nothing is known of anybody under the code") {
		t.Errorf("a second time: %v", err)
	}
}
