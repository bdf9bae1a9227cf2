package app_test

import (
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"budcall/internal/call"
	smtp "budcall/internal/mail"
	"budcall/internal/testpg"
)

// tally gives how often each mail was taken.
func tally(mails []taken) map[string]int {
	out := map[string]int{}
	for _, m := range mails {
		out[m.to+": "+m.subject]++
	}
	return out
}

func twice(t *testing.T, mails []taken) {
	t.Helper()
	for mail, n := range tally(mails) {
		if n > 1 && !strings.Contains(mail, "to look after") {
			t.Errorf("%d times: %s", n, mail)
		}
	}
}

// A relay that is down holds everything back and loses nothing: attempts come
// at ever longer waits by the program's clock, and when it is back before the
// letters have become too old, all of them go out, each once.
func TestLettersWaitWhileTheRelayIsDown(t *testing.T) {
	t.Parallel()
	box := &letterbox{}
	addr, dsn := freeAddr(t), testpg.New(t)
	p := newProgramme(t, addr)
	a := open(t, p.dir, "2016-05-01", dsn)
	if err := a.StepTo(t.Context(), at("2016-05-01 03:15")); err != nil {
		t.Fatal(err)
	}
	waiting := letters(t, dsn, "mail")
	written := ask(t, dsn, `select string_agg(id, ',' order by id) from letter`)
	if !strings.HasPrefix(waiting, "waiting ") {
		t.Fatalf("with the relay down letters stand %q", waiting)
	}
	var tries []time.Time
	for range 6 {
		next, err := a.Next(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		tries = append(tries, next)
		if err := a.StepTo(t.Context(), next); err != nil {
			t.Fatal(err)
		}
	}
	if wait := tries[5].Sub(tries[0]); wait < 10*time.Minute || wait > 3*time.Hour { // 1, 5, 15, 30, 30 … minutes
		t.Errorf("the tries were at %v", tries)
	}
	if now := letters(t, dsn, "mail"); now != waiting {
		t.Errorf("while the relay is down letters stand %q, at first %q", now, waiting)
	}
	relayAt(t, addr, box, nil)
	until(t, a, "2016-05-01")
	if states := ask(t, dsn, `select string_agg(state, ',') from letter where id = any(string_to_array($1, ','))`, written); strings.Trim(states, "sent,") != "" {
		t.Errorf("with the relay back the letters stand %q", states)
	}
	silent(t, letters(t, dsn, "mail"), "waiting", "given up", "refused")
	twice(t, box.all())
}

// What waits too long is given up, and the ops person's trouble says why.
func TestLettersThatWaitedTooLongAreGivenUpAndTold(t *testing.T) {
	t.Parallel()
	box := &letterbox{}
	addr, dsn := freeAddr(t), testpg.New(t)
	p := newProgramme(t, addr)
	a := open(t, p.dir, "2016-05-01", dsn)
	until(t, a, "2016-05-02")
	says(t, letters(t, dsn, "mail"), "given up")
	says(t, troubles(t, a), "otso", "cannot reach the relay "+addr)
	silent(t, troubles(t, a), "@birches.example")

	relayAt(t, addr, box, nil)
	until(t, a, "2016-05-04")
	if len(box.all()) == 0 {
		t.Error("nothing goes out after the relay is back")
	}
	silent(t, letters(t, dsn, "mail"), "waiting", "taken", "dotted")
	twice(t, box.all())
}

// An address that is refused for good: the call goes to the next person at
// once, and nobody else suffers.
func TestARefusedAddressPassesTheCallOnAtOnce(t *testing.T) {
	t.Parallel()
	box := &letterbox{}
	sink := relayAt(t, "", box, func(s smtp.Step) smtp.Answer {
		if s.Moment == smtp.AtRcpt && s.To == "otso@birches.example" {
			return smtp.Answer{Code: 550, Text: "5.1.1 <otso@birches.example>: no such user"}
		}
		return smtp.Answer{}
	})
	dsn := testpg.New(t)
	p := newProgramme(t, sink.Addr())
	p.site(t, "OTHER", "ilmi")
	a := open(t, p.dir, "2016-04-30", dsn)
	until(t, a, "2016-05-01")
	when := ask(t, dsn, `select coalesce((min(at) filter (where reason = 'mail returned') - min(at) filter (where person = 'otso'))::text, 'never')
		from owed where site = 'HOME' and task = $1 and standing in ('go', 'hurry', 'look first')`, string(call.BagOn))
	if when != "00:00:00" { // simulated time stands still while a moment's work is done
		t.Errorf("the call was passed on after %s", when)
	}
	passed, others := 0, 0
	for _, m := range box.all() {
		switch {
		case m.to == "maia@birches.example" && strings.Contains(m.subject, "Passed on to you: bag on at HOME"):
			passed++
		case m.to == "ilmi@birches.example":
			others++
		}
	}
	if passed != 1 || others == 0 {
		t.Errorf("%d mails passed the call on, %d went to the other site:\n%v", passed, others, tally(box.all()))
	}
	says(t, troubles(t, a), "otso", "550", "people.yml")
	silent(t, troubles(t, a), "otso@birches.example", "no such user")
	silent(t, ask(t, dsn, `select string_agg(error, ' ') from letter`), "@birches.example")
}

// A password that is wrong holds all mails back, tells the ops person, and is
// read anew from its file, which may be mended without touching the rest.
func TestAWrongMailPasswordIsToldAndMendedInItsFile(t *testing.T) {
	t.Parallel()
	box := &letterbox{}
	sink, err := smtp.ServeSink(t.Context(), smtp.SinkOptions{Take: box.take, User: "calls", Password: "right"})
	if err != nil {
		t.Fatal(err)
	}
	dsn := testpg.New(t)
	p := newProgramme(t, sink.Addr())
	p.mail = "  user: calls\n  password_file: password\n"
	p.write(t)
	p.file(t, "password", "wrong\n")
	a := open(t, p.dir, "2016-05-01", dsn)
	if err := a.StepTo(t.Context(), at("2016-05-01 03:20")); err != nil {
		t.Fatal(err)
	}
	says(t, troubles(t, a), "535", "password")
	if state := letters(t, dsn, "mail"); !strings.HasPrefix(state, "waiting ") {
		t.Errorf("letters stand %q", state)
	}
	p.file(t, "password", "right\n")
	until(t, a, "2016-05-01")
	silent(t, letters(t, dsn, "mail"), "waiting", "given up", "refused")
	silent(t, troubles(t, a), "535")
	twice(t, box.all())
}

// A relay that doesn't pass on our mail says so with the recipient's address
// in it; that is our set-up's trouble and not the person's.
func TestARelayThatWontRelayIsToldWithoutTheAddress(t *testing.T) {
	t.Parallel()
	box := &letterbox{}
	var shut atomic.Bool
	shut.Store(true)
	sink := relayAt(t, "", box, func(s smtp.Step) smtp.Answer {
		if s.Moment == smtp.AtRcpt && shut.Load() {
			return smtp.Answer{Code: 530, Text: "<" + s.To + ">: log in first; " + s.To + " is not local"}
		}
		return smtp.Answer{}
	})
	dsn := testpg.New(t)
	a := open(t, newProgramme(t, sink.Addr()).dir, "2016-05-01", dsn)
	if err := a.StepTo(t.Context(), at("2016-05-01 03:20")); err != nil {
		t.Fatal(err)
	}
	says(t, troubles(t, a), "530", "check the user and the password file")
	silent(t, troubles(t, a)+letters(t, dsn, "mail"), "@birches.example", "refused")
	shut.Store(false)
	until(t, a, "2016-05-01")
	silent(t, letters(t, dsn, "mail"), "waiting", "given up", "refused")
}

// at reads a time of UTC.
func at(s string) time.Time {
	when, err := time.Parse("2006-01-02 15:04", s)
	if err != nil {
		panic(err)
	}
	return when
}
