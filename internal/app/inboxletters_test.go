package app_test

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/app"
	"budcall/internal/inbox"
	"budcall/internal/notice"
	"budcall/internal/report"
	"budcall/internal/testpg"
)

// mailer is the program with the letters of the folder sent, at 3 May 2031.
type mailer struct {
	*app.App
	box *letterbox
	db  *pgx.Conn
}

func withReplies(t *testing.T, change func(*programme)) mailer {
	t.Helper()
	box, dsn := &letterbox{}, testpg.New(t)
	p := repliesProgramme(t, relayAt(t, "127.0.0.1:0", box, nil).Addr())
	if change != nil {
		change(p)
	}
	a := open(t, p.dir, "2031-03-01", dsn)
	db, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close(context.Background()) })
	sentBefore(t, db)
	if err := a.DB().SetClock(t.Context(), time.Date(2031, 5, 3, 15, 0, 0, 0, time.UTC)); err != nil {
		t.Fatal(err)
	}
	return mailer{a, box, db}
}

// gets hands a mail over and has it read.
func (m mailer) gets(t *testing.T, from, fields, body string) {
	t.Helper()
	raw := "From: " + from + "\r\nTo: calls@birch.example\r\nDate: Sat, 03 May 2031 17:00:00 +0300\r\nContent-Type: text/plain; charset=utf-8\r\n" + fields + "\r\n" + body + "\r\n"
	if code := handOver(t, m.InboxAddr(), []byte(raw)); code != 250 {
		t.Fatalf("answered %d", code)
	}
	readAll(t, m.App)
}

// letters gives the letters about mails, in the order of writing.
func (m mailer) letters(t *testing.T) (all []notice.Letter) {
	t.Helper()
	rows, err := m.db.Query(t.Context(), `select content from letter where kind in ('receipt', 'tap', 'unread') order by kind, id`)
	if err != nil {
		t.Fatal(err)
	}
	contents, err := pgx.CollectRows(rows, pgx.RowTo[[]byte])
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range contents {
		var l notice.Letter
		if err := json.Unmarshal(c, &l); err != nil {
			t.Fatal(err)
		}
		all = append(all, l)
	}
	return all
}

func (m mailer) stored(t *testing.T) (n int) {
	t.Helper()
	if err := m.db.QueryRow(t.Context(), `select count(*) from report`).Scan(&n); err != nil {
		t.Fatal(err)
	}
	return n
}

const answersBagOn = "In-Reply-To: <2031.KOL.bag-on.2@mail.birch.example>\r\nMessage-ID: <%d@kolmivaara.example>\r\n"

func TestWhoSendsAMailIsToldWhatBecameOfIt(t *testing.T) {
	m := withReplies(t, nil)
	m.gets(t, "aino@kolmivaara.example", fmt.Sprintf(answersBagOn, 1), "T3 2+1")
	all := m.letters(t)
	if len(all) != 1 || all[0].Kind != notice.Receipt || all[0].To != "aino@kolmivaara.example" || !slices.Equal(all[0].Thread, []string{"2031.KOL.bag-on.2"}) {
		t.Fatalf("letters %+v", all)
	}
	if r := all[0].Reply; len(r.Reports) != 1 || r.Passed || m.stored(t) != 1 {
		t.Errorf("the receipt says %+v, %d reports are stored", r, m.stored(t))
	}
	// Answering the receipt corrects it: the calls are those of the first mail.
	m.gets(t, "aino@kolmivaara.example", "In-Reply-To: <"+all[0].ID+"@mail.birch.example>\r\nMessage-ID: <2@kolmivaara.example>\r\n", "T3 1+1\r\nand some prose that nobody can read")
	all = m.letters(t)
	if len(all) != 3 || m.stored(t) != 2 {
		t.Fatalf("%d letters, %d reports", len(all), m.stored(t))
	}
	last := all[2]
	if last.Kind != notice.Unread || last.To != "liis@birch.example" || len(last.Reply.Unread) != 1 || last.Reply.Sender != "Aino Hietavirta" {
		t.Errorf("the coordinator is told %+v", last)
	}
}

func TestTheCoordinatorGetsTheMailItself(t *testing.T) {
	m := withReplies(t, nil)
	m.gets(t, "aino@kolmivaara.example", fmt.Sprintf(answersBagOn, 1), "the ladder is broken, please ring")
	until := time.Now().Add(patience)
	for time.Now().Before(until) {
		for _, l := range m.box.all() {
			if l.to == "liis@birch.example" && strings.Contains(l.text, "message/rfc822") && strings.Contains(l.text, "the ladder is broken, please ring") {
				return
			}
		}
		time.Sleep(20 * time.Millisecond) // the sink has nothing to wait for
	}
	t.Fatalf("the coordinator didn't get the mail in %s", patience)
}

func TestAMailWithoutATokenWaitsForATap(t *testing.T) {
	m := withReplies(t, nil)
	m.gets(t, "aino@kolmivaara.example", "Message-ID: <1@kolmivaara.example>\r\n", "T3 2+1")
	all := m.letters(t)
	if len(all) != 1 || all[0].Kind != notice.Tap || all[0].Reply.Link == "" || m.stored(t) != 0 {
		t.Fatalf("%d reports, letters %+v", m.stored(t), all)
	}
	link := all[0].Reply.Link
	get := func() string {
		resp, err := http.Get(link)
		if err != nil {
			t.Fatal(err)
		}
		defer resp.Body.Close()
		body, err := io.ReadAll(resp.Body)
		if err != nil || resp.StatusCode != http.StatusOK {
			t.Fatalf("%d %v\n%s", resp.StatusCode, err, body)
		}
		return string(body)
	}
	for range 2 { // a scanner follows every link
		if page := get(); !strings.Contains(page, "2 selfing bags") || !strings.Contains(page, "<button") || m.stored(t) != 0 {
			t.Fatalf("%d reports after looking\n%s", m.stored(t), page)
		}
	}
	for range 2 { // pressed twice
		resp, err := http.PostForm(link, url.Values{})
		if err != nil {
			t.Fatal(err)
		}
		resp.Body.Close()
		if resp.StatusCode != http.StatusOK || m.stored(t) != 1 {
			t.Fatalf("answered %d, %d reports", resp.StatusCode, m.stored(t))
		}
	}
	if page := get(); strings.Contains(page, "<button") {
		t.Errorf("it can still be pressed:\n%s", page)
	}
	for _, forged := range []string{link[:len(link)-2], strings.Replace(link, "/held/", "/form/", 1), strings.Replace(link, "/held/", "/board/", 1)} {
		resp, err := http.Get(forged)
		if err != nil {
			t.Fatal(err)
		}
		resp.Body.Close()
		if resp.StatusCode != http.StatusForbidden {
			t.Errorf("%s: %d", forged, resp.StatusCode)
		}
	}
}

func TestTwoProgramsThatAnswerEachOtherEndSoon(t *testing.T) {
	m := withReplies(t, func(p *programme) {
		p.file(t, "programme.yml", strings.Replace(p.read(t, "programme.yml"), "receipts_a_day: 1000", "receipts_a_day: 3", 1))
	})
	m.gets(t, "aino@kolmivaara.example", "Auto-Submitted: auto-replied\r\n"+fmt.Sprintf(answersBagOn, 0), "T1 2+1") // says that it is one
	if n := len(m.letters(t)); n != 0 || m.stored(t) != 0 {
		t.Fatalf("%d letters and %d reports from a mail that nobody wrote", n, m.stored(t))
	}
	for i := range 8 {
		m.gets(t, "aino@kolmivaara.example", fmt.Sprintf(answersBagOn, i+1), "T3 2+1")
	}
	if n := len(m.letters(t)); n != 3 {
		t.Errorf("%d receipts, want 3", n)
	}
	if n := m.stored(t); n != 8 {
		t.Errorf("%d reports stored, want all 8", n)
	}
}

func TestALetterThatComesBackIsNoAnswerAtOnce(t *testing.T) {
	m := withReplies(t, nil)
	body := "--b\r\nContent-Type: text/plain\r\n\r\nNot delivered.\r\n--b\r\nContent-Type: message/delivery-status\r\n\r\nReporting-MTA: dns; mx.example\r\n\r\n" +
		"Final-Recipient: rfc822; aino@kolmivaara.example\r\nAction: failed\r\nStatus: 5.1.1\r\n--b\r\nContent-Type: text/rfc822-headers\r\n\r\n" +
		"Message-ID: <2031.KOL.bag-on.2@mail.birch.example>\r\n\r\n--b--"
	raw := "Return-Path: <>\r\nFrom: MAILER-DAEMON@mx.example\r\nTo: calls@birch.example\r\nMessage-ID: <b@mx.example>\r\nContent-Type: multipart/report; report-type=delivery-status; boundary=b\r\n\r\n" + body
	for range 2 {
		if code := handOver(t, m.InboxAddr(), []byte(raw)); code != 250 {
			t.Fatalf("answered %d", code)
		}
	}
	readAll(t, m.App)
	var state, why string
	var runs int
	if err := m.db.QueryRow(t.Context(), `
		select state, error, (select count(*) from run where nominal = 'lost 2031.KOL.bag-on.2') from letter where id = '2031.KOL.bag-on.2'`).Scan(&state, &why, &runs); err != nil {
		t.Fatal(err)
	}
	if state != "refused" || why != "it came back (5.1.1)" || runs != 1 || len(m.letters(t)) != 0 {
		t.Errorf("the letter is %q (%s), %d runs, %d letters", state, why, runs, len(m.letters(t)))
	}
}

// The metrics' closed lists are those of who counts.
func TestEveryEventAndOutcomeOfMailsIsCountedUnderItsName(t *testing.T) {
	m := withReplies(t, nil)
	resp, err := http.Get("http://" + m.Programme().Metrics + "/metrics")
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range inbox.Events {
		if !strings.Contains(string(body), fmt.Sprintf("budcall_inbox_events_total{event=%q,programme=%q}", e, m.Programme().Code)) {
			t.Errorf("no counter for the event %q", e)
		}
	}
	for _, o := range []report.Outcome{
		report.Stored, report.PartStored, report.ToCoordinator, report.HeldForTap, report.HeldForCoordinator,
		report.IgnoredAuto, report.IgnoredList, report.Returned, report.Refused,
	} {
		if !strings.Contains(string(body), fmt.Sprintf("budcall_replies_read_total{outcome=%q,programme=%q}", o, m.Programme().Code)) {
			t.Errorf("no counter for the outcome %q", o)
		}
	}
}
