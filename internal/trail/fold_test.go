package trail_test

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/trail"
)

var start = time.Date(2031, 5, 1, 8, 0, 0, 0, time.UTC)

// book writes events as a season goes on: each comes an hour after the last,
// of the day given.
type book struct {
	trail.Events
	n int64
}

func newBook() *book {
	return &book{Events: trail.Events{Season: 2031, Today: civil.MustParse("2031-12-31"), Trees: wood()}}
}

func (b *book) report(day string, r trail.Report) *book {
	b.n++
	r.ID, r.Site, r.Person, r.Day, r.At, r.Way = b.n, "KOLMI", "tuuli", civil.MustParse("2031-"+day), start.Add(time.Duration(b.n)*time.Hour), "form"
	b.Reports = append(b.Reports, r)
	return b
}

func (b *book) enter(day string, kind trail.EntryKind, subject string, d trail.Data) *book {
	b.n++
	b.Entries = append(b.Entries, trail.Entry{
		ID: b.n, Season: 2031, Kind: kind, Subject: subject, Person: "lumi", Day: civil.MustParse("2031-" + day), At: start.Add(time.Duration(b.n) * time.Hour), Why: "as seen", Way: "command", Data: d,
	})
	return b
}

func on(tree string, selfing, control int) trail.Report {
	return trail.Report{Kind: trail.BagsOn, Tree: tree, Selfing: selfing, Control: control}
}

func torn(tree string, selfing, control int) trail.Report {
	return trail.Report{Kind: trail.BagsTorn, Tree: tree, Selfing: selfing, Control: control}
}

func off(tree string) trail.Report { return trail.Report{Kind: trail.BagsOff, Tree: tree} }

func picked(tree string, selfing, control int) trail.Report {
	return trail.Report{Kind: trail.Picked, Tree: tree, Selfing: selfing, Control: control}
}

var flowers = trail.Report{Kind: trail.StageSeen, BBCH: 60}

// life writes the bags of T1 as S1 on, S2 off …
func life(tr trail.Trail) string {
	var parts []string
	for _, t := range tr.Trees {
		if t.Site != "KOLMI" || t.Tree.Short != "T1" {
			continue
		}
		for _, b := range t.Bags {
			text := fmt.Sprintf("%c%d %s", strings.ToUpper(string(b.Kind))[0], b.Number, b.State)
			if b.Doubt != "" {
				text += fmt.Sprintf(" (%s %s)", b.Doubt, b.DoubtfulSince.String()[5:])
			}
			parts = append(parts, text)
		}
	}
	return strings.Join(parts, "; ")
}

func TestTheLifeOfBags(t *testing.T) {
	for _, row := range []struct {
		says string
		book *book
		want string
	}{
		{"a tree needs two selfing bags and a control", newBook(), "S1 planned; S2 planned; C1 planned"},
		{"put on as planned", newBook().report("05-02", on("T1", 2, 1)), "S1 on; S2 on; C1 on"},
		{"one more than planned, the control missing", newBook().report("05-02", on("T1", 3, 0)), "S1 on; S2 on; S3 on; C1 planned"},
		{"another tree's bags don't count", newBook().report("05-02", on("T2", 2, 1)), "S1 planned; S2 planned; C1 planned"},
		{"a later report corrects an earlier one", newBook().report("05-02", on("T1", 3, 1)).report("05-02", on("T1", 2, 1)), "S1 on; S2 on; S3 gone; C1 on"},
		{"the same told twice changes nothing", newBook().report("05-02", on("T1", 2, 1)).report("05-02", on("T1", 2, 1)), "S1 on; S2 on; C1 on"},
		{"all of a kind torn before flowering", newBook().report("05-02", on("T1", 2, 1)).report("05-08", torn("T1", 2, 0)), "S1 doubtful since (torn 05-08); S2 doubtful since (torn 05-08); C1 on"},
		{"and replaced", newBook().report("05-02", on("T1", 2, 1)).report("05-08", torn("T1", 2, 0)).report("05-09", on("T1", 2, 1)),
			"S1 gone (torn 05-08); S2 gone (torn 05-08); S3 on; S4 on; C1 on"},
		{"one of two torn, and nobody said which", newBook().report("05-02", on("T1", 2, 1)).report("05-08", torn("T1", 1, 0)),
			"S1 doubtful since (one of these bags was torn, and it wasn't said which 05-08); S2 doubtful since (one of these bags was torn, and it wasn't said which 05-08); C1 on"},
		{"once it is replaced the other is sound", newBook().report("05-02", on("T1", 2, 1)).report("05-08", torn("T1", 1, 0)).report("05-09", on("T1", 2, 1)),
			"S1 on; S2 gone (one of these bags was torn, and it wasn't said which 05-08); S3 on; C1 on"},
		{"the torn one taken off, and none put on", newBook().report("05-02", on("T1", 2, 1)).report("05-08", torn("T1", 1, 0)).report("05-09", on("T1", 1, 1)),
			"S1 on; S2 gone (one of these bags was torn, and it wasn't said which 05-08); C1 on"},
		{"torn, not said how many", newBook().report("05-02", on("T1", 2, 1)).report("05-08", torn("T1", 0, 0)),
			"S1 doubtful since (torn 05-08); S2 doubtful since (torn 05-08); C1 doubtful since (torn 05-08)"},
		{"torn when flowering had begun: another bag doesn't help", newBook().report("05-02", on("T1", 1, 1)).report("05-10", flowers).report("05-12", torn("T1", 1, 0)).report("05-13", on("T1", 1, 1)),
			"S1 doubtful since (torn 05-12); S2 planned; C1 on"},
		{"put on when flowering had begun", newBook().report("05-10", flowers).report("05-11", on("T1", 2, 1)),
			"S1 doubtful since (put on when flowering had begun 05-11); S2 doubtful since (put on when flowering had begun 05-11); C1 doubtful since (put on when flowering had begun 05-11)"},
		{"flowering told after the bags were", newBook().report("05-11", on("T1", 1, 0)).report("05-10", flowers), "S1 doubtful since (put on when flowering had begun 05-11); S2 planned; C1 planned"},
		{"ripe seed isn't flowering", newBook().report("05-10", trail.Report{Kind: trail.StageSeen, BBCH: 89}).report("05-11", on("T1", 1, 0)), "S1 on; S2 planned; C1 planned"},
		{"off with the whole site", newBook().report("05-02", on("T1", 2, 1)).report("06-02", off("")), "S1 off; S2 off; C1 off"},
		{"off before they were on was never meant for them", newBook().report("05-02", on("T1", 2, 1)).report("05-01", off("T1")), "S1 on; S2 on; C1 on"},
		{"a doubt outlives the bag", newBook().report("05-02", on("T1", 2, 1)).report("05-08", torn("T1", 0, 1)).report("06-02", off("T1")), "S1 off; S2 off; C1 off (torn 05-08)"},
	} {
		if got := life(trail.Fold(row.book.Events)); got != row.want {
			t.Errorf("%s:\n got %s\nwant %s", row.says, got, row.want)
		}
	}
}

func lotCode(k trail.BagKind) string {
	return trail.Code{Tree: "K-001", Season: 2031, Kind: k}.String()
}

func came(written string, k trail.BagKind, packets int, bags ...int) trail.Data {
	return trail.Data{Receipt: &trail.Receipt{Written: written, Kind: k, Packets: packets, Bags: bags, Condition: "dry"}}
}

// lots writes the lots as selfing under way 2/0 …: picked/came.
func lots(tr trail.Trail) string {
	var parts []string
	for _, l := range tr.Lots {
		text := fmt.Sprintf("%s %s %s %d/%d of %d bags", l.Tree, l.Kind, l.State, l.Packets, l.Came, len(l.Bags))
		if len(l.Doubts) > 0 {
			text += fmt.Sprintf(", %d doubtful", len(l.Doubts))
		}
		parts = append(parts, text)
	}
	for _, u := range tr.Unplaced {
		text := fmt.Sprintf("%q unplaced", u.Written)
		if u.Into != "" {
			text = fmt.Sprintf("%q placed", u.Written)
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, "; ")
}

func TestTheWayOfLots(t *testing.T) {
	hung := func() *book { return newBook().report("05-02", on("T1", 2, 1)).report("06-02", off("")) }
	sent := func() *book { return hung().report("08-01", picked("T1", 2, 1)) }
	all := trail.Report{Kind: trail.LotReceived, Tree: "T1"}
	self, ctrl, waiting := lotCode(trail.Selfing), lotCode(trail.Control), trail.Code{Number: 4}.String()
	today := func(day string, b *book) *book { b.Today = civil.MustParse("2031-" + day); return b }
	for _, row := range []struct {
		says string
		book *book
		want string
	}{
		{"bags alone are no lot", hung(), ""},
		{"packets picked are two lots", today("08-08", sent()), "K-001 selfing under way 2/0 of 2 bags; K-001 control under way 1/0 of 1 bags"},
		{"overdue after the days set", today("08-09", sent()), "K-001 selfing overdue 2/0 of 2 bags; K-001 control overdue 1/0 of 1 bags"},
		{"a later report corrects the packets", today("08-02", sent().report("08-01", picked("T1", 3, 0))), "K-001 selfing under way 3/0 of 2 bags; K-001 control nothing picked 0/0 of 1 bags"},
		{"nothing to pick after all", sent().report("08-02", trail.Report{Kind: trail.NothingToPick, Tree: "T1"}), "K-001 selfing nothing picked 0/0 of 2 bags; K-001 control nothing picked 0/0 of 1 bags"},
		{"reported received", sent().report("08-04", trail.Report{Kind: trail.LotReceived, Tree: "T1", Selfing: 2, Control: 1}), "K-001 selfing arrived 2/2 of 2 bags; K-001 control arrived 1/1 of 1 bags"},
		{"all of the tree ticked as received", sent().report("08-04", all), "K-001 selfing arrived 2/2 of 2 bags; K-001 control arrived 1/1 of 1 bags"},
		{"all received, and the packets corrected later", sent().report("08-04", all).report("08-01", picked("T1", 3, 1)), "K-001 selfing arrived 3/3 of 2 bags; K-001 control arrived 1/1 of 1 bags"},
		{"all received, and only then the picking reported", hung().report("08-04", all).report("08-01", picked("T1", 2, 1)), "K-001 selfing arrived 2/2 of 2 bags; K-001 control arrived 1/1 of 1 bags"},
		{"all received, and more picked on a later day", sent().report("08-04", all).report("08-05", picked("T1", 3, 1)), "K-001 selfing arrived 3/2 of 2 bags; K-001 control arrived 1/1 of 1 bags"},
		{"all received, corrected by numbers", sent().report("08-04", all).report("08-04", trail.Report{Kind: trail.LotReceived, Tree: "T1", Selfing: 1}), "K-001 selfing arrived 2/1 of 2 bags; K-001 control overdue 1/0 of 1 bags"},
		{"all of the site received", sent().report("08-04", trail.Report{Kind: trail.LotReceived}), "K-001 selfing arrived 2/2 of 2 bags; K-001 control arrived 1/1 of 1 bags"},
		{"all received where nothing was picked", hung().report("08-04", all), ""},
		{"received one by one", sent().enter("08-04", trail.LabReceived, self, came("K-001-C", trail.Selfing, 1)).enter("08-05", trail.LabReceived, self, came("K-001-C", trail.Selfing, 1)),
			"K-001 selfing arrived 2/2 of 2 bags; K-001 control overdue 1/0 of 1 bags"},
		{"the laboratory's book counts, not the report of it", sent().report("08-04", trail.Report{Kind: trail.LotReceived, Tree: "T1", Selfing: 2}).enter("08-04", trail.LabReceived, self, came("K-001-C", trail.Selfing, 1)),
			"K-001 selfing arrived 2/1 of 2 bags; K-001 control overdue 1/0 of 1 bags"},
		{"packets that name their bag", sent().enter("08-04", trail.LabReceived, self, came("K-001-31S2-5", trail.Selfing, 1, 2)), "K-001 selfing arrived 2/1 of 1 bags; K-001 control overdue 1/0 of 1 bags"},
		{"a control never goes into a selfing lot", sent().enter("08-04", trail.LabReceived, self, came("K-001-C", trail.Control, 1)), "K-001 selfing overdue 2/0 of 2 bags; K-001 control overdue 1/0 of 1 bags"},
		{"what matches nothing waits", sent().enter("08-04", trail.LabReceived, "", came("K OO1", trail.Selfing, 1)), "K-001 selfing overdue 2/0 of 2 bags; K-001 control overdue 1/0 of 1 bags; \"K OO1\" unplaced"},
		{"until it is placed", sent().enter("08-04", trail.LabReceived, "", came("K OO1", trail.Selfing, 1)).enter("08-05", trail.LabPlaced, waiting, trail.Data{Into: self}),
			"K-001 selfing arrived 2/1 of 2 bags; K-001 control overdue 1/0 of 1 bags; \"K OO1\" placed"},
		{"but not into the other kind", sent().enter("08-04", trail.LabReceived, "", came("K OO1", trail.Selfing, 1)).enter("08-05", trail.LabPlaced, waiting, trail.Data{Into: ctrl}),
			"K-001 selfing overdue 2/0 of 2 bags; K-001 control overdue 1/0 of 1 bags; \"K OO1\" unplaced"},
		{"a placing withdrawn", sent().enter("08-04", trail.LabReceived, "", came("K OO1", "", 1)).enter("08-05", trail.LabPlaced, waiting, trail.Data{Into: ctrl}).enter("08-06", trail.LabWithdrawn, waiting, trail.Data{Withdraws: 5}),
			"K-001 selfing overdue 2/0 of 2 bags; K-001 control overdue 1/0 of 1 bags; \"K OO1\" unplaced"},
		{"a placing withdrawn after it was reported received", sent().enter("08-04", trail.LabReceived, "", came("K OO1", "", 1)).enter("08-05", trail.LabPlaced, waiting, trail.Data{Into: ctrl}).report("08-05", trail.Report{Kind: trail.LotReceived, Tree: "T1", Control: 1}).enter("08-06", trail.LabWithdrawn, waiting, trail.Data{Withdraws: 5}),
			"K-001 selfing overdue 2/0 of 2 bags; K-001 control overdue 1/0 of 1 bags; \"K OO1\" unplaced"},
		{"a receipt withdrawn, and the withdrawal as well", sent().enter("08-04", trail.LabReceived, self, came("K-001-C", trail.Selfing, 2)).enter("08-05", trail.LabWithdrawn, self, trail.Data{Withdraws: 4}).enter("08-06", trail.LabWithdrawn, self, trail.Data{Withdraws: 5}),
			"K-001 selfing arrived 2/2 of 2 bags; K-001 control overdue 1/0 of 1 bags"},
		{"a receipt withdrawn", sent().enter("08-04", trail.LabReceived, self, came("K-001-C", trail.Selfing, 2)).enter("08-05", trail.LabWithdrawn, self, trail.Data{Withdraws: 4}),
			"K-001 selfing overdue 2/0 of 2 bags; K-001 control overdue 1/0 of 1 bags"},
		{"stored", sent().enter("08-04", trail.LabReceived, self, came("K-001-C", trail.Selfing, 2)).enter("09-01", trail.LabStored, self, trail.Data{Store: "cold room"}),
			"K-001 selfing stored 2/2 of 2 bags; K-001 control overdue 1/0 of 1 bags"},
		{"a torn bag's lot carries the doubt", newBook().report("05-02", on("T1", 2, 1)).report("05-08", flowers).report("05-12", torn("T1", 1, 0)).report("06-02", off("")).report("12-28", picked("T1", 2, 1)),
			"K-001 selfing under way 2/0 of 2 bags, 2 doubtful; K-001 control under way 1/0 of 1 bags"},
	} {
		if got := lots(trail.Fold(row.book.Events)); got != row.want {
			t.Errorf("%s:\n got %s\nwant %s", row.says, got, row.want)
		}
	}
}

func TestUnplacedSeedComesWithNearCodesAndWhoPlacedIt(t *testing.T) {
	b := newBook().report("05-02", on("T1", 2, 1)).enter("08-04", trail.LabReceived, "", came("K-O01-C", "", 1))
	code := trail.Code{Number: 2}.String()
	u := trail.Fold(b.Events).Unplaced[0]
	if u.Code != code || u.Written != "K-O01-C" || u.By != "lumi" || len(u.Near) == 0 || u.Near[0] != (trail.Near{Code: "K-001-C", Slip: trail.LookAlike}) {
		t.Errorf("%+v", u)
	}
	b.enter("08-05", trail.LabFilled, code, trail.Data{Filled: &trail.Filled{Filled: 2, Tested: 100, Catkins: 3}})
	b.enter("08-06", trail.LabPlaced, code, trail.Data{Into: lotCode(trail.Selfing)})
	tr := trail.Fold(b.Events)
	u = tr.Unplaced[0]
	if u.Into != lotCode(trail.Selfing) || u.PlacedBy != "lumi" || u.Why != "as seen" || u.PlacedOn != civil.MustParse("2031-08-06") {
		t.Errorf("%+v", u)
	}
	if l := tr.Lots[0]; !reflect.DeepEqual(l.Parts, []string{code}) || l.Results.Filled.Tested != 100 || l.Received != civil.MustParse("2031-08-04") {
		t.Errorf("the lot doesn't hold what was found before: %+v", l)
	}
}

// What may be meant is looked for among all codes of the season, those of bags
// and lots too, however long ago the packets came.
func TestUnplacedSeedIsNearBagsAndLots(t *testing.T) {
	selfing := lotCode(trail.Selfing)
	bag := trail.Code{Tree: "K-001", Season: 2031, Kind: trail.Control, Bag: 1}.String()
	wrong := func(code string) string { return strings.Replace(code, "K-001-31", "K-001-13", 1) } // two digits swapped
	b := newBook().report("05-02", on("T1", 2, 1)).report("08-01", picked("T1", 2, 1)).
		enter("08-04", trail.LabReceived, "", came(wrong(selfing), "", 1)).
		enter("08-04", trail.LabReceived, "", came(wrong(bag)+" "+wrong(selfing), "", 2)).
		enter("08-05", trail.LabReceived, "", came("white paper, no label", "", 1))
	tr := trail.Fold(b.Events)
	if n := tr.Unplaced[0].Near; len(n) == 0 || n[0] != (trail.Near{Code: selfing, Slip: trail.Swapped}) {
		t.Errorf("%s: near is %+v, expected %s first", wrong(selfing), n, selfing)
	}
	var codes []string
	for _, n := range tr.Unplaced[1].Near {
		codes = append(codes, n.Code)
	}
	if !slices.Contains(codes, selfing) || !slices.Contains(codes, bag) {
		t.Errorf("two codes on packets: near is %q, expected %s and %s among them", codes, selfing, bag)
	}
	if n := tr.Unplaced[2].Near; len(n) != 0 {
		t.Errorf("near nothing: %+v", n)
	}
}
