package notice_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	ics "github.com/arran4/golang-ical"
	"pgregory.net/rapid"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
)

// spring is a calendar with a call of every standing that has days.
func spring() notice.Calendar {
	event := func(serial int, task call.Task, standing call.Standing, first, last string) notice.Event {
		return notice.Event{
			ID: "2031.KOL." + strings.ReplaceAll(string(task), " ", "-") + ".tuuli", Site: "KOL", SiteName: "Kolmivaara, pohjoinen; ylä\\metsä", Task: task, Standing: standing,
			Days: civil.Range{First: civil.MustParse(first), Last: civil.MustParse(last)}, Serial: serial,
			Changed: time.Date(2031, 4, 20, 17, 0, 0, 0, time.FixedZone("", 3*3600)),
		}
	}
	bagOn := event(3, call.BagOn, call.Go, "2031-05-03", "2031-05-07")
	bagOn.Trees = []string{"T1", "T3"}
	return notice.Calendar{Programme: "Northern Birches (invented)", Domain: "birches.example", Lang: "en", Events: []notice.Event{
		event(1, call.TakeOff, call.Ahead, "2031-05-28", "2031-06-17"), bagOn,
		event(2, call.LookAtBuds, call.Done, "2031-04-28", "2031-04-28"),
		{ID: "2031.KOL.pick-seed.tuuli", Site: "KOL", Task: call.PickSeed, Changed: time.Unix(0, 0)}, // no days yet
	}}
}

func written(t interface {
	Helper()
	Fatal(...any)
}, c notice.Calendar) []byte {
	t.Helper()
	body, err := c.ICS()
	if err != nil {
		t.Fatal(err)
	}
	return body
}

func TestTheCalendarReadsAsItsGoldenFile(t *testing.T) {
	golden(t, "calendar.ics", written(t, spring()))
	empty := spring()
	empty.Events = nil
	golden(t, "calendar-empty.ics", written(t, empty))
}

// What another implementation reads is what was meant.
func TestAnotherImplementationReadsTheCalendar(t *testing.T) {
	cal, err := ics.ParseCalendar(bytes.NewReader(written(t, spring())))
	if err != nil {
		t.Fatal(err)
	}
	if n := len(cal.Events()); n != 3 {
		t.Fatalf("%d events, not the 3 with days", n)
	}
	for _, e := range []struct {
		uid, first, end, status, summary, sequence string
	}{
		{"2031.KOL.look-at-buds.tuuli@birches.example", "2031-04-28", "2031-04-29", "CANCELLED", "Look at the buds at Kolmivaara, pohjoinen; ylä\\metsä", "2"},
		{"2031.KOL.bag-on.tuuli@birches.example", "2031-05-03", "2031-05-08", "CONFIRMED", "Bag on at Kolmivaara, pohjoinen; ylä\\metsä", "3"},
		{"2031.KOL.take-off.tuuli@birches.example", "2031-05-28", "2031-06-18", "TENTATIVE", "Take bags off at Kolmivaara, pohjoinen; ylä\\metsä", "1"},
	} {
		var got *ics.VEvent
		for _, v := range cal.Events() {
			if v.Id() == e.uid {
				got = v
			}
		}
		if got == nil {
			t.Errorf("%s isn't there", e.uid)
			continue
		}
		first, err1 := got.GetAllDayStartAt()
		end, err2 := got.GetAllDayEndAt()
		if err1 != nil || err2 != nil || first.Format(time.DateOnly) != e.first || end.Format(time.DateOnly) != e.end {
			t.Errorf("%s is from %s to before %s (%v, %v), not %s to %s", e.uid, first, end, err1, err2, e.first, e.end)
		}
		stamp, err := got.GetDtStampTime()
		if err != nil || !stamp.Equal(time.Date(2031, 4, 20, 14, 0, 0, 0, time.UTC)) {
			t.Errorf("%s is of %s (%v)", e.uid, stamp, err)
		}
		for name, want := range map[ics.ComponentProperty]string{
			ics.ComponentPropertyStatus: e.status, ics.ComponentPropertySummary: e.summary, ics.ComponentPropertySequence: e.sequence, ics.ComponentPropertyTransp: "TRANSPARENT",
		} {
			if p := got.GetProperty(name); p == nil || p.Value != want {
				t.Errorf("%s: %s is %v, not %q", e.uid, name, p, want)
			}
		}
	}
}

// The identifier stays and the serial grows when the days move: that is what
// makes calendar programs move an event instead of adding one.
func TestACallThatMovesKeepsItsIdentifier(t *testing.T) {
	before, after := spring(), spring()
	e := &after.Events[1]
	e.Days.First, e.Days.Last, e.Serial = e.Days.First+2, e.Days.Last+2, e.Serial+1
	a, b := string(written(t, before)), string(written(t, after))
	for _, line := range []string{"UID:2031.KOL.bag-on.tuuli@birches.example\r\nSEQUENCE:"} {
		if !strings.Contains(a, line+"3\r\n") || !strings.Contains(b, line+"4\r\n") {
			t.Errorf("the moved call isn't the same with another serial:\n%s", b)
		}
	}
}

// Whatever names hold, lines are at most 75 octets of whole characters, end in
// CRLF, and no name begins a property of its own.
func TestNoNameBreaksTheCalendar(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := spring()
		c.Programme = rapid.String().Draw(t, "programme")
		odd := rapid.SampledFrom([]string{"\r\nATTENDEE:x", "\n", "é", "😀", "\\n", ";,", "\u2028", "BEGIN:VEVENT", "\xff"})
		c.Events[1].SiteName = strings.Join(rapid.SliceOfN(rapid.OneOf(odd, rapid.String()), 1, 12).Draw(t, "site"), "")
		c.Events[1].Trees = rapid.SliceOfN(rapid.String(), 0, 30).Draw(t, "trees")
		body := written(t, c)
		if !bytes.HasSuffix(body, []byte("\r\n")) || !utf8.Valid(body) {
			t.Fatalf("the end or the letters are broken: %q", body)
		}
		for line := range strings.SplitSeq(strings.TrimSuffix(string(body), "\r\n"), "\r\n") {
			if len(line) > 75 || strings.ContainsAny(line, "\r\n") || !utf8.ValidString(line) {
				t.Fatalf("%q isn't a line", line)
			}
		}
		cal, err := ics.ParseCalendar(bytes.NewReader(body))
		if err != nil {
			t.Fatalf("%v\n%s", err, body)
		}
		if n := len(cal.Events()); n != 3 || strings.Count(string(body), "\r\nATTENDEE") > 0 {
			t.Fatalf("%d events\n%s", n, body)
		}
	})
}

func TestACalendarThatWouldBeMixedUpIsRefused(t *testing.T) {
	for says, spoil := range map[string]func(*notice.Calendar){
		"two calls of one identifier":     func(c *notice.Calendar) { c.Events[1].ID = c.Events[0].ID },
		"an identifier with a line break": func(c *notice.Calendar) { c.Events[0].ID = "a\r\nb" },
		"no time of the change":           func(c *notice.Calendar) { c.Events[0].Changed = time.Time{} },
		"no domain":                       func(c *notice.Calendar) { c.Domain = "" },
	} {
		c := spring()
		spoil(&c)
		if body, err := c.ICS(); err == nil || !strings.Contains(fmt.Sprint(err), ": ") {
			t.Errorf("%s: %v\n%s", says, err, body)
		}
	}
}
