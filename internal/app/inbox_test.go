package app_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/emersion/go-smtp"
	"github.com/jackc/pgx/v5"

	"budcall/internal/app"
	"budcall/internal/call"
	"budcall/internal/notice"
	"budcall/internal/testpg"
)

// replies is the folder of mails written before there was anything to read
// them; its README.md says what each column means.
const replies = "../../testdata/replies"

func repliesTable(t *testing.T, name string) (rows []map[string]string) {
	t.Helper()
	f, err := os.Open(filepath.Join(replies, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range all[1:] {
		row := map[string]string{}
		for i, cell := range line {
			row[all[0][i]] = cell
		}
		rows = append(rows, row)
	}
	return rows
}

// repliesProgramme is the programme that the mails of the folder answer.
func repliesProgramme(t *testing.T, relay string) *programme {
	t.Helper()
	p := newProgramme(t, relay)
	if err := os.Remove(filepath.Join(p.dir, "sites/home.yml")); err != nil {
		t.Fatal(err)
	}
	people := "people:\n  - {code: ops, name: Ops Invented, email: ops@birch.example}\n"
	for _, r := range repliesTable(t, "people.csv") {
		people += fmt.Sprintf("  - {code: %s, name: %q, email: %s, lang: %s, zone: %s}\n", r["person"], r["name"], r["address"], r["language"], r["zone"])
	}
	p.file(t, "people.yml", people)
	sites := map[string]string{}
	for _, r := range repliesTable(t, "trees.csv") {
		s := sites[r["site"]]
		if s == "" {
			s = fmt.Sprintf("code: %s\nname: %q\nlat_deg: 60.3\nlon_deg: 25.0\naltitude_m: 51\nprofile: silver-birch\nstations: [MET]\nlead: %s\n", r["site"], r["site_name"], r["lead"])
			if r["deputy"] != "" {
				s += "deputy: " + r["deputy"] + "\n"
			}
			s += "trees:\n"
		}
		s += fmt.Sprintf("  - {code: %s, short: %s", r["code"], r["short"])
		if r["gone"] != "" {
			s += ", gone: true"
		}
		sites[r["site"]] = s + "}\n"
	}
	for code, s := range sites {
		p.file(t, "sites/"+strings.ToLower(code)+".yml", s)
	}
	p.file(t, "programme.yml", "code: ONE\nname: Replies (invented)\nzone: Europe/Helsinki\ncoordinator: liis\nops: ops\nlisten: 127.0.0.1:0\nmetrics: "+p.metrics+
		"\nmail:\n  relay: "+relay+"\n  tls: none\n  from: calls@birch.example\n  domain: mail.birch.example\ninbox:\n  lmtp: 127.0.0.1:0\n  receipts_a_day: 1000\n")
	return p
}

// sentBefore stores the letters that the mails of the folder answer, as sent.
func sentBefore(t *testing.T, db *pgx.Conn) {
	t.Helper()
	for i, r := range repliesTable(t, "mails.csv") {
		sent, err := time.Parse(time.RFC3339, r["sent"])
		if err != nil {
			t.Fatal(err)
		}
		l := notice.Letter{ID: r["token"], Kind: notice.Calls, At: sent}
		for _, s := range strings.Fields(r["sites"]) {
			l.Items = append(l.Items, notice.Item{Site: s, Task: call.Task(r["task"])})
		}
		content, err := json.Marshal(l)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := db.Exec(t.Context(), `
			insert into letter (id, channel, target, kind, content, written_at, expires_at, next_try, state, settled_at)
			values ($1, 'mail', $2, 'calls', $3, $4, $4, $4, 'sent', $4)`, r["token"], r["person"], content, sent); err != nil {
			t.Fatal(err)
		}
		for _, s := range strings.Fields(r["sites"]) {
			if _, err := db.Exec(t.Context(), `
				insert into owed (site, season, task, serial, person, standing, reason, passed, item, at, letter_id)
				values ($1, 2031, $2, $3, $4, 'go', '', false, '{}', $5, $6)`, s, r["task"], 1000+i, r["person"], sent, r["token"]); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// reply is a mail of the folder, with its one line repeated where the table
// says so.
func reply(t *testing.T, row map[string]string) []byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join(replies, row["file"]))
	if err != nil || row["grow"] == "" {
		if err != nil {
			t.Fatal(err)
		}
		return raw
	}
	var line, times int
	if _, err := fmt.Sscanf(row["grow"], "repeat line %d x %d", &line, &times); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	for n, l := range bytes.SplitAfter(raw, []byte("\n")) {
		if n+1 == line {
			l = bytes.Repeat(l, times)
		}
		out.Write(l)
	}
	return out.Bytes()
}

// handOver gives a mail to the program as a mail server does, and the answer's
// code; 250 where it was taken.
func handOver(t *testing.T, addr string, raw []byte) int {
	t.Helper()
	conn, err := net.Dial("tcp", addr)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	c, from := smtp.NewClientLMTP(conn), "somebody@elsewhere.example"
	if bytes.HasPrefix(raw, []byte("Return-Path: <>")) {
		from = ""
	}
	if err := errors.Join(c.Mail(from, nil), c.Rcpt("calls@birch.example", nil)); err != nil {
		t.Fatal(err)
	}
	w, err := c.Data()
	if err == nil {
		_, err = io.Copy(w, bytes.NewReader(raw))
	}
	if err != nil {
		t.Fatal(err)
	}
	var said *smtp.SMTPError
	switch err := w.Close(); {
	case err == nil:
		return 250
	case errors.As(err, &said):
		return said.Code
	default:
		t.Fatal(err)
		return 0
	}
}

// readAll waits until every mail that came in was read.
func readAll(t *testing.T, a *app.App) {
	t.Helper()
	for until := time.Now().Add(patience); time.Now().Before(until); {
		if err := a.ReadMails(t.Context()); err != nil {
			t.Fatal(err)
		}
		left, err := a.DB().ArrivalsLeft(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if left == 0 {
			return
		}
	}
	t.Fatalf("mails are left unread after %s", patience)
}

// settled waits until what the mails set going is done: decisions on the
// reports, and the letters that these write.
func settled(t *testing.T, a *app.App, at time.Time) {
	t.Helper()
	for until := time.Now().Add(patience); ; time.Sleep(20 * time.Millisecond) {
		busy, err := a.DB().Busy(t.Context(), at)
		if err != nil {
			t.Fatal(err)
		}
		if !busy {
			return
		}
		if time.Now().After(until) {
			t.Fatalf("work is left after %s", patience)
		}
	}
}

// became is what the memory holds of a mail.
type became struct {
	outcome, person, token, state string
	stored, held, photos          int
}

func becameOf(t *testing.T, db *pgx.Conn) (b became) {
	t.Helper()
	err := db.QueryRow(t.Context(), `
		select outcome, person, token, state, jsonb_array_length(reports),
			(select count(*) from report r where r.key = 'mail-' || left(encode(a.key, 'hex'), 32)),
			(select count(*) from photo p where p.arrived_id = a.id)
		from arrived a order by id desc limit 1`).Scan(&b.outcome, &b.person, &b.token, &b.state, &b.held, &b.stored, &b.photos)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// wanted is what the table says of a mail.
func wanted(row map[string]string) (b became) {
	b = became{outcome: row["outcome"], person: row["sender"], token: row["token"], state: "read"}
	fmt.Sscan(row["photos"], &b.photos)
	n := 0
	if said := row["understood"]; said != "" && said != "mail returned" {
		n = len(strings.Split(said, "; "))
	}
	if strings.HasPrefix(b.outcome, "held") && n > 0 {
		b.held, b.state = n, "held"
		return b
	}
	b.stored = n
	return b
}

func counts(t *testing.T, db *pgx.Conn) (all [4]int) {
	t.Helper()
	if err := db.QueryRow(t.Context(), `
		select (select count(*) from arrived), (select count(*) from report), (select count(*) from letter where kind <> 'calls'), (select count(*) from photo)`).
		Scan(&all[0], &all[1], &all[2], &all[3]); err != nil {
		t.Fatal(err)
	}
	return all
}

func TestTheTwoHundredRepliesThroughTheMailServersDoor(t *testing.T) {
	box, dsn := &letterbox{}, testpg.New(t)
	sink := relayAt(t, "127.0.0.1:0", box, nil)
	a := open(t, repliesProgramme(t, sink.Addr()).dir, "2031-03-01", dsn)
	db, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close(context.Background())
	sentBefore(t, db)
	table := repliesTable(t, "expected.csv")
	if len(table) != 200 {
		t.Fatalf("%d mails, want 200", len(table))
	}
	slices.SortStableFunc(table, func(a, b map[string]string) int { return strings.Compare(a["received"], b["received"]) })
	var last time.Time
	for _, row := range table {
		at, err := time.Parse(time.RFC3339, row["received"])
		if err != nil {
			t.Fatal(err)
		}
		last = at
		if err := a.DB().SetClock(t.Context(), at); err != nil {
			t.Fatal(err)
		}
		code := handOver(t, a.InboxAddr(), reply(t, row))
		if row["outcome"] == "refused: too large" {
			if code != 552 {
				t.Errorf("%s: answered %d, want 552", row["file"], code)
			}
			continue
		}
		if code != 250 {
			t.Fatalf("%s: answered %d", row["file"], code)
		}
		readAll(t, a)
		if got, want := becameOf(t, db), wanted(row); got != want {
			t.Errorf("%s (%s)\n  came to %+v\n  not     %+v", row["file"], row["note"], got, want)
		}
		if want := row["outcome"]; want == "no answer: bounce" {
			var state string
			if err := db.QueryRow(t.Context(), `select state from letter where id = $1`, row["token"]).Scan(&state); err != nil || state != "refused" {
				t.Errorf("%s: the letter that came back is %q (%v)", row["file"], state, err)
			}
		}
	}
	settled(t, a, last)
	before := counts(t, db)
	for _, row := range table {
		if row["grow"] != "" {
			continue
		}
		raw := reply(t, row)
		if bytes.Contains(bytes.ToLower(raw), []byte("\nmessage-id:")) { // by another way; else nothing but the way tells mails apart
			raw = append([]byte("Received: by another relay\r\n"), raw...)
		}
		handOver(t, a.InboxAddr(), raw)
	}
	readAll(t, a)
	settled(t, a, last)
	if after := counts(t, db); !reflect.DeepEqual(before, after) {
		t.Errorf("delivered again, mails, reports, letters and photos are %v, not %v as before", after, before)
	}
}

func (p *programme) read(t *testing.T, name string) string {
	t.Helper()
	body, err := os.ReadFile(filepath.Join(p.dir, name))
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}
