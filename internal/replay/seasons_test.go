package replay_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
	"budcall/internal/replay"
	"budcall/internal/trail"
)

// crowd is invented people who answer some of what they are told.
type crowd struct {
	rng  *rand.Rand
	todo []said
}

// said is what somebody says at one go.
type said struct {
	At      time.Time
	Reports []trail.Report
}

// told has somebody answer, or not, some hours after a mail.
func (c *crowd) told(t replay.Telling) {
	if t.Person == "" || c.rng.Float64() < 0.4 {
		return
	}
	at := t.At.Add(time.Duration(20+c.rng.IntN(40*60)) * time.Minute)
	day := civil.At(at)
	report := func(kind trail.Kind, tree string, selfing, control int) trail.Report {
		return trail.Report{Person: t.Person, Site: t.Site, Task: string(t.Item.Task), Kind: kind, Tree: tree, Selfing: selfing, Control: control, Day: day, Way: "form"}
	}
	var out []trail.Report
	switch roll := c.rng.Float64(); {
	case !t.Item.Standing.Asks():
		return
	case roll < 0.2:
		out = append(out, report(trail.CannotGo, "", 0, 0))
	case roll < 0.4:
		going := report(trail.Going, "", 0, 0)
		going.On = day + civil.Date(c.rng.IntN(5))
		out = append(out, going)
	case t.Item.Task == call.SendKit:
		out = append(out, report(trail.KitArrived, "", 0, 0))
	case t.Item.Task == call.BagOn:
		look := report(trail.NotYet, "", 0, 0)
		look.BBCH = 7
		if roll > 0.9 {
			look.Kind = trail.StageSeen
		}
		out = append(out, look, report(trail.BagsOn, "T1", 2, 1))
		if roll > 0.6 {
			out = append(out, report(trail.BagsOn, "T2", 2, 1))
		}
	case t.Item.Task == call.TakeOff:
		out = append(out, report(trail.BagsOff, "T1", 0, 0), report(trail.BagsOff, "T2", 0, 0))
	case t.Item.Task == call.ShortSeason:
		out = append(out, report(trail.Understood, "", 0, 0))
	default:
		out = append(out, report(trail.NothingToPick, "", 0, 0))
	}
	c.todo = append(c.todo, said{at.UTC(), out})
	slices.SortStableFunc(c.todo, func(a, b said) int { return a.At.Compare(b.At) })
}

// Twenty seasons in memory, with people who answer late, partly, not at all or
// that they can't go, are the same twenty in PostgreSQL, told the same things
// at the same times.
func TestTwentySeasonsInMemoryAreThoseInPostgreSQL(t *testing.T) {
	first, last := civil.MustParse("2016-04-05"), civil.MustParse("2016-06-12")
	files := programme(t, 20, 2009, last+30)
	files["programme.yml"] += "slots:\n  pull: [\"10 6 * * *\"]\n"
	l := start(t, files, first)
	end := (last + 1).In(time.UTC, 0, 0)
	people := &crowd{rng: rand.New(rand.NewPCG(3, 5))}
	s := replayOf(t, l, first, func(o *replay.Options) { o.OnTold = people.told })
	var told []said
	for {
		next, err := s.Next(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if len(people.todo) > 0 && !people.todo[0].At.After(next) {
			act := people.todo[0]
			people.todo = people.todo[1:]
			if act.At.Before(s.Now()) {
				act.At = s.Now()
			}
			if err := s.Report(t.Context(), act.At, act.Reports...); err != nil {
				t.Fatal(err)
			}
			told = append(told, act)
			continue
		}
		if next.After(end) {
			break
		}
		if err := s.StepTo(t.Context(), next); err != nil {
			t.Fatal(err)
		}
	}
	if len(told) < 60 {
		t.Errorf("people said only %d things", len(told))
	}
	for i, act := range told {
		l.playTo(t, act.At)
		l.report(t, fmt.Sprintf("said-%d", i), act.Reports)
	}
	l.playTo(t, end)
	sameAsLive(t, l, s, 2016)
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, p := range s.Kept().Letters {
		var letter notice.Letter
		if err := json.Unmarshal(p.Content, &letter); err != nil {
			t.Fatal(err)
		}
		raw, err := notice.Mail(letter)
		if err != nil {
			t.Fatal(err)
		}
		id := "<" + letter.ID + "@" + letter.Domain + ">"
		if string(l.mail[id]) != string(raw) {
			t.Fatalf("mail %s\nPostgreSQL:\n%s\nmemory:\n%s", id, l.mail[id], raw)
		}
		delete(l.mail, id)
	}
	if len(l.mail) > 0 {
		t.Errorf("with PostgreSQL there are %d mails more", len(l.mail))
	}
	t.Logf("%d mails, %d reports and answers", len(s.Kept().Letters), len(told))
}

// everything is what a season left behind, as text.
func everything(t *testing.T, s *replay.Season) string {
	t.Helper()
	raw, err := json.MarshalIndent(s.Kept(), "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

// Whatever the files and the reports say of later days, a season up to a day
// is the same; and it is the same when it is played twice.
func TestNothingInAReplayDependsOnTheFuture(t *testing.T) {
	first, day := civil.MustParse("2016-03-20"), civil.MustParse("2016-05-16")
	known := programme(t, 2, 2004, day)
	play := func(future func(station int) string) string {
		files := map[string]string{}
		for name, body := range known {
			files[name] = body
		}
		for i := range 3 {
			files[fmt.Sprintf("met%d.csv", i)] += future(i)
		}
		l := &live{dir: folder(t, files, "127.0.0.1:9")}
		s := seasonOf(t, l.dir, first, nil)
		if err := s.Report(t.Context(), civil.MustParse("2016-05-01").In(time.UTC, 12, 0), trail.Report{
			Person: "otso", Site: "SITE00", Task: string(call.BagOn), Kind: trail.NotYet, BBCH: 7, Day: civil.MustParse("2016-05-01"), Way: "form",
		}); err != nil {
			t.Fatal(err)
		}
		if err := s.PlayTo(t.Context(), day.In(time.UTC, 18, 0)); err != nil {
			t.Fatal(err)
		}
		return everything(t, s)
	}
	nothing := play(func(int) string { return "" })
	if n := strings.Count(nothing, `"Letter":`); n < 8 {
		t.Errorf("only %d things were told: the season isn't worth comparing", n)
	}
	truth := play(func(i int) string {
		return stationFile(uint64(i), 2004, day+100)[len(known[fmt.Sprintf("met%d.csv", i)]):]
	})
	nonsense := play(func(i int) string {
		var b strings.Builder
		for d := day; d < day+100; d++ {
			fmt.Fprintf(&b, "%s,%.1f,-%.1f,99\n", d, 30.0, 30.0)
			if d%3 == 0 {
				fmt.Fprintf(&b, "%s;;x\n\x01\n", d)
			}
		}
		return b.String()
	})
	again := play(func(int) string { return "" })
	for what, got := range map[string]string{"true readings": truth, "nonsense": nonsense, "nothing, once more": again} {
		if got != nothing {
			t.Errorf("with %s from %s on the season until then is another", what, day)
		}
	}
}
