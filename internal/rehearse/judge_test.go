package rehearse_test

import (
	"testing"

	"budcall/internal/civil"
	"budcall/internal/rehearse"
)

// TestJudge tells the edge days; expected by the definitions in Judge's comment
// (bud break 1 May, flowering 10 May, over 25 May, ripe 20 July, shed 28 July).
func TestJudge(t *testing.T) {
	day := func(s string) civil.Date {
		if s == "" {
			return 0
		}
		return civil.MustParse("2021-" + s)
	}
	tree := rehearse.Tree{Shed: day("07-28"), Reached: map[int]civil.Date{
		7: day("05-01"), 60: day("05-10"), 69: day("05-25"), 89: day("07-20"),
	}}
	never := rehearse.Tree{Reached: map[int]civil.Date{}}
	unshed := rehearse.Tree{Reached: tree.Reached}
	const no, yes = false, true
	for _, row := range []struct {
		name                  string
		tree                  rehearse.Tree
		bagged, off, picked   string
		lost, early, inTime   bool
		offInTime, pickedRipe bool
	}{
		{"a tree that was never bagged is lost", tree, "", "", "", yes, no, no, no, no},
		{"bagged the day before bud break is in time", tree, "04-30", "", "", no, no, yes, no, no},
		{"bagged on the day of bud break is lost", tree, "05-01", "", "", yes, no, no, no, no},
		{"bagged after bud break is lost", tree, "05-09", "", "", yes, no, no, no, no},
		{"bagged 28 days before flowering is in time", tree, "04-12", "", "", no, no, yes, no, no},
		{"bagged 29 days before flowering is too early", tree, "04-11", "", "", no, yes, no, no, no},
		{"off the day before flowering is over in the district is too soon", tree, "04-30", "05-24", "", no, no, yes, no, no},
		{"off on the day flowering is over is in time", tree, "04-30", "05-25", "", no, no, yes, yes, no},
		{"off 21 days after it is in time", tree, "04-30", "06-15", "", no, no, yes, yes, no},
		{"off 22 days after it is late", tree, "04-30", "06-16", "", no, no, yes, no, no},
		{"off a tree never bagged is no taking off", tree, "", "05-25", "", yes, no, no, no, no},
		{"a bag put on too late is still taken off in time", tree, "05-02", "05-25", "", yes, no, no, yes, no},
		{"picked the day before ripeness is unripe", tree, "04-30", "05-25", "07-19", no, no, yes, yes, no},
		{"picked on the day of ripeness is ripe", tree, "04-30", "05-25", "07-20", no, no, yes, yes, yes},
		{"picked the day before shedding is ripe", tree, "04-30", "05-25", "07-27", no, no, yes, yes, yes},
		{"picked on the day of shedding is shed", tree, "04-30", "05-25", "07-28", no, no, yes, yes, no},
		{"never picked is not ripe", tree, "04-30", "05-25", "", no, no, yes, yes, no},
		{"seed not shed by October is picked ripe in October", unshed, "04-30", "05-25", "10-30", no, no, yes, yes, yes},
		{"a tree that reaches nothing is bagged too early and no more", never, "04-30", "05-25", "07-20", no, yes, no, no, no},
	} {
		got := rehearse.Judge(row.tree, rehearse.Done{Bagged: day(row.bagged), Off: day(row.off), Picked: day(row.picked)}, rehearse.Limits{MaxLeadDays: 28, MaxOnDays: 21})
		want := rehearse.Verdict{Lost: row.lost, TooEarly: row.early, InTime: row.inTime, OffInTime: row.offInTime, PickedRipe: row.pickedRipe}
		if got != want {
			t.Errorf("%s: got %+v, want %+v", row.name, got, want)
		}
	}
}
