package stage_test

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

func seen(code stage.BBCH, may int) trail.Report {
	return trail.Report{Kind: trail.StageSeen, BBCH: int(code), Day: civil.Of(2031, 5, may)}
}

func notYet(code stage.BBCH, may int) trail.Report {
	return trail.Report{Kind: trail.NotYet, BBCH: int(code), Day: civil.Of(2031, 5, may)}
}

// A row's reports stand in the order in which they came; days are of May, and
// 0 is not known.
func TestWhatVisitsSayOfAStage(t *testing.T) {
	bags := trail.Report{Kind: trail.BagsOn, Day: civil.Of(2031, 5, 4)}
	for _, row := range []struct {
		name         string
		reports      []trail.Report
		code         stage.BBCH
		notYet, seen int
	}{
		{"nobody went", nil, 7, 0, 0},
		{"other reports say nothing of stages", []trail.Report{bags}, 7, 0, 0},
		{"bud break seen", []trail.Report{seen(7, 5)}, 7, 0, 5},
		{"bud break not yet there", []trail.Report{notYet(7, 5)}, 7, 5, 0},
		{"not yet on the 1st, seen on the 5th", []trail.Report{notYet(7, 1), seen(7, 5)}, 7, 1, 5},
		{"the same two told in the other order", []trail.Report{seen(7, 5), notYet(7, 1)}, 7, 1, 5},
		{"of two visits that found nothing the later counts", []trail.Report{notYet(7, 4), notYet(7, 2)}, 7, 4, 0},
		{"of two that saw it the earlier counts", []trail.Report{seen(7, 8), seen(7, 5)}, 7, 0, 5},

		{"bud break seen implies bud swelling", []trail.Report{seen(7, 5)}, 1, 0, 5},
		{"who saw bud break and said nothing of leaves saw none", []trail.Report{seen(7, 5)}, 11, 5, 0},
		{"nor flowers", []trail.Report{seen(7, 5)}, 60, 5, 0},
		{"who saw both said so", []trail.Report{seen(7, 5), seen(60, 5)}, 60, 0, 5},
		{"flowers that were seen before weren't overlooked", []trail.Report{seen(60, 3), seen(7, 5)}, 60, 0, 3},
		{"flowers seen later weren't there yet", []trail.Report{seen(7, 5), seen(60, 9)}, 60, 5, 9},
		{"bud break not yet there implies no flowering", []trail.Report{notYet(7, 5)}, 60, 5, 0},
		{"bud break not yet there implies no ripe seed", []trail.Report{notYet(7, 5)}, 89, 5, 0},
		{"bud break not yet there says nothing of swelling", []trail.Report{notYet(7, 5)}, 1, 0, 0},
		{"flowering seen implies bud break", []trail.Report{seen(60, 12)}, 7, 0, 12},
		{"flowering over implies that it was full", []trail.Report{seen(69, 28)}, 65, 0, 28},
		{"leaves seen say nothing of flowering", []trail.Report{seen(11, 10)}, 60, 0, 0},
		{"flowering seen says nothing of leaves", []trail.Report{seen(60, 10)}, 11, 0, 0},
		{"no leaves yet say nothing of flowering", []trail.Report{notYet(11, 10)}, 60, 0, 0},
		{"no flowering yet says nothing of leaves", []trail.Report{notYet(60, 10)}, 11, 0, 0},
		{"one visit: swollen, no bud break yet", []trail.Report{seen(1, 3), notYet(7, 3)}, 7, 3, 0},
		{"the same visit, of swelling", []trail.Report{seen(1, 3), notYet(7, 3)}, 1, 0, 3},
		{"a stage that isn't in the order speaks for itself alone", []trail.Report{seen(55, 9)}, 55, 0, 9},
		{"and for no other", []trail.Report{seen(55, 9)}, 7, 0, 0},

		{"still closed on the 6th corrects what was seen on the 5th", []trail.Report{seen(7, 5), notYet(7, 6)}, 7, 6, 0},
		{"seen on the 5th corrects still closed on the 6th", []trail.Report{notYet(7, 6), seen(7, 5)}, 7, 0, 5},
		{"of one day the later report counts: seen", []trail.Report{notYet(7, 5), seen(7, 5)}, 7, 0, 5},
		{"of one day the later report counts: not yet", []trail.Report{seen(7, 5), notYet(7, 5)}, 7, 5, 0},
		{"a correction leaves the sights after it alone", []trail.Report{seen(7, 5), seen(7, 8), notYet(7, 6)}, 7, 6, 8},
		{"and the visits before it", []trail.Report{notYet(7, 2), notYet(7, 6), seen(7, 4)}, 7, 2, 4},
		{"a correction that is itself corrected counts for nothing", []trail.Report{seen(7, 5), notYet(7, 7), seen(7, 6)}, 7, 0, 5},
		{"no bud break on the 6th corrects flowering on the 5th", []trail.Report{seen(60, 5), notYet(7, 6)}, 60, 6, 0},
		{"and what followed from it for swelling", []trail.Report{seen(60, 5), notYet(7, 6)}, 1, 0, 0},
		{"no leaves on the 6th correct no flowering on the 5th", []trail.Report{seen(60, 5), notYet(11, 6)}, 60, 0, 5},
	} {
		want := stage.Bounds{}
		if row.notYet != 0 {
			want.NotYet = civil.Of(2031, 5, row.notYet)
		}
		if row.seen != 0 {
			want.Seen = civil.Of(2031, 5, row.seen)
		}
		if got := stage.BoundsOf(row.reports, row.code); got != want {
			t.Errorf("%s (stage %s): not yet %s, seen %s; want %s, %s", row.name, row.code, got.NotYet, got.Seen, want.NotYet, want.Seen)
		}
	}
}

// Each stage beside those that are seen with it, for which it not being there
// yet says the same, and which weren't there yet if only it was seen: 01 < 07 < 11 and 07 ≤ 60 < 65 < 69 < 89.
func TestEveryPairOfStages(t *testing.T) {
	codes := []stage.BBCH{1, 7, 11, 60, 65, 69, 89}
	with := map[stage.BBCH][]stage.BBCH{
		1: {1}, 7: {1, 7}, 11: {1, 7, 11},
		60: {1, 7, 60}, 65: {1, 7, 60, 65}, 69: {1, 7, 60, 65, 69}, 89: {1, 7, 60, 65, 69, 89},
	}
	for _, reported := range codes {
		for _, asked := range codes {
			sight := stage.BoundsOf([]trail.Report{seen(reported, 5)}, asked)
			implied, later := slices.Contains(with[reported], asked), asked != reported && slices.Contains(with[asked], reported)
			if (sight.Seen != 0) != implied || (sight.NotYet != 0) != later {
				t.Errorf("%s seen: of %s follows %v", reported, asked, sight)
			}
			miss := stage.BoundsOf([]trail.Report{notYet(reported, 5)}, asked)
			if implied := slices.Contains(with[asked], reported); (miss.NotYet != 0) != implied || miss.Seen != 0 {
				t.Errorf("%s not yet there: of %s follows %v", reported, asked, miss)
			}
		}
	}
}

// A reply that was three days under way is older than what came before it on
// the list: what reached us last counts, however the reports are sorted.
func TestTheReportThatCameLastCounts(t *testing.T) {
	morning := time.Date(2031, time.May, 7, 6, 0, 0, 0, time.UTC)
	saw, closed := seen(7, 5), notYet(7, 6)
	for _, row := range []struct {
		name            string
		sawAt, closedAt time.Time
		want            stage.Bounds
	}{
		{"still closed came last", morning, morning.Add(time.Hour), stage.Bounds{NotYet: closed.Day}},
		{"seen came last", morning.Add(time.Hour), morning, stage.Bounds{Seen: saw.Day}},
		{"the hour counts, not what the clock on the wall says", morning, morning.Add(time.Hour).In(time.FixedZone("west", -8*3600)), stage.Bounds{NotYet: closed.Day}},
	} {
		saw.At, closed.At = row.sawAt, row.closedAt
		for _, reports := range [][]trail.Report{{saw, closed}, {closed, saw}} {
			given := slices.Clone(reports)
			if got := stage.BoundsOf(reports, stage.BudBreak); got != row.want {
				t.Errorf("%s, %q first: %v, want %v", row.name, reports[0].Kind, got, row.want)
			}
			if !slices.Equal(reports, given) {
				t.Errorf("%s: the reports given were sorted", row.name)
			}
		}
	}
}

// Whatever people report in whatever order: bounds never contradict
// themselves, a stage is seen no later than the ones after it, and the last
// report always counts.
func TestBoundsNeverContradictThemselves(t *testing.T) {
	codes := []stage.BBCH{1, 7, 11, 60, 65, 69, 89}
	rapid.Check(t, func(t *rapid.T) {
		var reports []trail.Report
		for range rapid.IntRange(1, 12).Draw(t, "reports") {
			say := rapid.SampledFrom([]func(stage.BBCH, int) trail.Report{seen, notYet}).Draw(t, "kind")
			reports = append(reports, say(rapid.SampledFrom(codes).Draw(t, "code"), rapid.IntRange(1, 20).Draw(t, "day")))
		}
		for _, code := range codes {
			b := stage.BoundsOf(reports, code)
			if b.Seen != 0 && b.NotYet >= b.Seen {
				t.Fatalf("%s: not yet %s, seen %s", code, b.NotYet, b.Seen)
			}
		}
		bud, flower := stage.BoundsOf(reports, stage.BudBreak), stage.BoundsOf(reports, stage.Flowering)
		if flower.Seen != 0 && (bud.Seen == 0 || bud.Seen > flower.Seen) || flower.NotYet < bud.NotYet {
			t.Fatalf("bud break %v, flowering %v", bud, flower)
		}
		last := reports[len(reports)-1]
		b := stage.BoundsOf(reports, stage.BBCH(last.BBCH))
		if last.Kind == trail.StageSeen && (b.Seen == 0 || b.Seen > last.Day) || last.Kind == trail.NotYet && b.NotYet < last.Day {
			t.Fatalf("the last report is %+v, and the bounds are %v", last, b)
		}
	})
}
