package trail_test

import (
	"encoding/json"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/trail"
)

// season draws the events of a season that nobody would wish for: anything in
// any order, of trees there are and aren't, often at the same moment.
func season(t *rapid.T) trail.Events {
	e := trail.Events{Season: 2031, Today: civil.MustParse("2031-09-01"), Trees: wood()}
	kinds := []trail.Kind{trail.BagsOn, trail.BagsTorn, trail.BagsFine, trail.BagsOff, trail.Picked, trail.NothingToPick, trail.LotReceived, trail.StageSeen, trail.CatkinsSeen, trail.NoCatkins, trail.Problem, trail.Going}
	moment := rapid.Map(rapid.IntRange(0, 5), func(n int) time.Time { return start.Add(time.Duration(n) * time.Hour) })
	day := rapid.Map(rapid.IntRange(0, 60), func(n int) civil.Date { return civil.MustParse("2031-05-01") + civil.Date(n) })
	small := rapid.IntRange(0, 3)
	for i := range rapid.IntRange(0, 15).Draw(t, "reports") {
		e.Reports = append(e.Reports, trail.Report{
			ID: int64(i + 1), Site: rapid.SampledFrom([]string{"KOLMI", "HOYMARK", "LOST"}).Draw(t, "site"), Person: "tuuli", Way: "form",
			Kind: rapid.SampledFrom(kinds).Draw(t, "kind"), Tree: rapid.SampledFrom([]string{"", "T1", "T2", "T9"}).Draw(t, "tree"), BBCH: 60,
			Selfing: small.Draw(t, "selfing"), Control: small.Draw(t, "control"), Day: day.Draw(t, "day"), At: moment.Draw(t, "at"),
		})
	}
	n := rapid.IntRange(0, 15).Draw(t, "entries")
	subjects := []string{"", "K-001-C", "K-009-C", "nonsense"}
	for _, k := range trail.BagKinds {
		for _, tree := range []string{"K-001", "H-101"} {
			subjects = append(subjects, trail.Code{Tree: tree, Season: 2031, Kind: k}.String(), trail.Code{Tree: tree, Season: 2030, Kind: k}.String())
		}
	}
	for i := range n {
		subjects = append(subjects, trail.Code{Number: int64(i + 1)}.String())
	}
	of := rapid.SampledFrom([]trail.BagKind{"", trail.Selfing, trail.Control})
	for i := range n {
		d := trail.Data{
			Receipt: &trail.Receipt{Written: "K OO1", Kind: of.Draw(t, "of"), Packets: small.Draw(t, "packets")},
			Into:    rapid.SampledFrom(subjects).Draw(t, "into"), Filled: &trail.Filled{Filled: small.Draw(t, "filled"), Tested: 3, Catkins: small.Draw(t, "catkins")},
			Masses: &trail.Masses{BeforeG: 3, AfterG: 2}, Sown: &trail.Sown{Seeds: []int{3}, CountDays: []int{7}}, Counted: &trail.Counted{Germinated: []int{small.Draw(t, "germinated")}},
			Store: "shelf", Alias: rapid.SampledFrom([]string{"7", "nonsense"}).Draw(t, "alias"), Withdraws: int64(rapid.IntRange(0, n).Draw(t, "withdraws")),
		}
		e.Entries = append(e.Entries, trail.Entry{
			ID: int64(i + 1), Season: 2031, Kind: rapid.SampledFrom(trail.EntryKinds).Draw(t, "kind"), Subject: rapid.SampledFrom(subjects).Draw(t, "subject"),
			Person: "lumi", Day: day.Draw(t, "day"), At: moment.Draw(t, "at"), Why: "w", Data: d,
		})
	}
	return e
}

func TestWhateverHappensNothingIsLostAndKindsStayApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := season(t)
		tr := trail.Fold(e)
		reports, entries := map[int64]bool{}, map[int64]bool{}
		note := func(list []trail.Line) {
			for _, l := range list {
				if l.Report != nil {
					reports[l.Report.ID] = true
				} else {
					entries[l.Entry.ID] = true
				}
				if l.Person == "" || l.At.IsZero() {
					t.Fatalf("nobody, or at no time: %+v", l)
				}
			}
		}
		note(tr.Other)
		for _, x := range tr.Trees {
			note(x.History)
			hangs := map[trail.BagKind]int{}
			for i, b := range x.Bags {
				note(b.History)
				if b.Number < 1 || i > 0 && x.Bags[i-1].Kind == b.Kind && x.Bags[i-1].Number+1 != b.Number {
					t.Fatalf("bags of %s aren't numbered: %+v", x.Code, b)
				}
				if b.State == trail.On || b.State == trail.Doubtful {
					hangs[b.Kind]++
				}
			}
			if hangs[trail.Selfing] > 3 || hangs[trail.Control] > 3 {
				t.Fatalf("%v bags hang, more than anybody reported", hangs)
			}
		}
		for _, l := range tr.Lots {
			note(l.History)
			for _, line := range l.History {
				if n := line.Entry; n != nil && n.Kind == trail.LabReceived && line.Unused == "" && !line.Withdrawn && n.Receipt.Kind != "" && n.Receipt.Kind != l.Kind {
					t.Fatalf("%s took in %s", l.Code, n.Receipt.Kind)
				}
			}
		}
		for _, u := range tr.Unplaced {
			note(u.History)
			if c, _, err := trail.ParseCode(u.Into); u.Into != "" && (err != nil || u.Kind != "" && u.Kind != c.Kind) {
				t.Fatalf("%s of %s went into %s", u.Code, u.Kind, u.Into)
			}
		}
		if len(reports) != len(e.Reports) || len(entries) != len(e.Entries) {
			t.Fatalf("%d of %d reports and %d of %d entries are in a history", len(reports), len(e.Reports), len(entries), len(e.Entries))
		}
	})
}

func TestTheOrderInWhichEventsAreGivenDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := season(t)
		want, err := json.Marshal(trail.Fold(e))
		if err != nil {
			t.Fatal(err)
		}
		e.Reports = rapid.Permutation(e.Reports).Draw(t, "reports in another order")
		e.Entries = rapid.Permutation(e.Entries).Draw(t, "entries in another order")
		e.Trees = rapid.Permutation(e.Trees).Draw(t, "trees in another order")
		before := slices.Clone(e.Entries)
		got, err := json.Marshal(trail.Fold(e))
		if err != nil || string(got) != string(want) {
			t.Fatalf("%s\nbecomes\n%s, %v", want, got, err)
		}
		if len(before) != len(e.Entries) {
			t.Fatal("the events were changed")
		}
	})
}
