package advance_test

import (
	"testing"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
)

// While sending is held, what is owed waits for days: who is told in the end is
// told the days, the reading and the link of that day.
func TestWhatWaitsToBeToldKeepsUpWithTheDays(t *testing.T) {
	b := newBench(t)
	today := civil.MustParse("2031-04-14") // a week before it can be too late
	b.task.Now, b.memory.days["NEAR"] = today.In(time.UTC, 17, 0), series(today-1, 0)
	first := b.do(t)
	old := item(t, first, call.BagOn)
	old.Said = []notice.Said{{By: notice.Contact{Name: "Otso Invented"}}}
	b.memory.calls = first.Outcome.Calls
	for task, s := range b.memory.calls { // nobody was told, so that no time for an answer runs
		s.AnswerBy = time.Time{}
		b.memory.calls[task] = s
	}
	kit := old
	kit.Task, kit.Standing = call.SendKit, call.Go // it stands otherwise
	due := func(id int64, at time.Time, it notice.Item) notice.Due {
		return notice.Due{ID: id, Person: "maia", Passed: true, Season: 2031, At: at, Item: it}
	}
	b.task.Now = b.task.Now.AddDate(0, 0, 2)
	days := series(today+1, 0)
	for i := range 2 { // warmer than was to be expected
		days[len(days)-1-i].MeanC += 2
	}
	b.memory.days["NEAR"] = days
	b.memory.untold = []notice.Due{due(1, b.task.Now.AddDate(0, 0, -2), old), due(2, b.task.Now, old), due(3, b.task.Now.AddDate(0, 0, -2), kit)}
	v := b.do(t)
	if s := v.Outcome.Calls[call.BagOn]; s.Standing != old.Standing || s.Days == old.Days {
		t.Fatalf("the test has no point: stands as %s on %s, stood as %s on %s", s.Standing, s.Days, old.Standing, old.Days)
	}
	if len(v.Again) != 1 || v.Again[0].ID != 1 {
		t.Fatalf("brought up to date: %+v", v.Again)
	}
	it := v.Again[0].Item
	if it.Days != v.Outcome.Calls[call.BagOn].Days || it.Why.Reading != today+1 || it.Expires != max(it.Days.Last, today+2)+14 || it.Link != "link of maia to bag on at HOME 2031" {
		t.Errorf("%+v", it)
	}
	if it.Reason != old.Reason || len(it.Said) != 1 || it.Passed == nil {
		t.Errorf("because %s, with %d reports, passed on %v", it.Reason, len(it.Said), it.Passed)
	}
}
