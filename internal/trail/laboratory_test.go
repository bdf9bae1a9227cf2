package trail_test

import (
	"math"
	"strings"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/trail"
)

func close(a, b, by float64) bool { return math.Abs(a-b) <= by }

func TestLaboratoryFigures(t *testing.T) {
	for _, row := range []struct {
		says      string
		got, want float64
		by        float64
	}{
		// Computed by hand: 100·(15 − 14.6)/(15 − 10) = 8.
		{"moisture of the fresh mass", trail.Sample{ContainerG: 10, BeforeG: 15, AfterG: 14.6}.Percent(), 8, 1e-9},
		// Computed by hand: the mean of 8 and 100·(14 − 13.6)/(14 − 10) = 10.
		{"the mean of two samples", trail.Moisture{Samples: []trail.Sample{{ContainerG: 10, BeforeG: 15, AfterG: 14.6}, {ContainerG: 10, BeforeG: 14, AfterG: 13.6}}}.Percent(), 9, 1e-9},
		// Computed by hand: a mean of 0.03 g for 100 seeds is 0.3 g for 1000.
		{"thousand-seed weight", trail.SeedWeight{Seeds: 100, Grams: []float64{0.029, 0.03, 0.031}}.ThousandG(), 0.3, 1e-9},
		// Computed by hand: SD 0.001 over 0.03.
		{"its variation", trail.SeedWeight{Seeds: 100, Grams: []float64{0.029, 0.03, 0.031}}.VariationPercent(), 100.0 / 30, 1e-9},
		{"a single replicate varies not", trail.SeedWeight{Seeds: 100, Grams: []float64{0.029}}.VariationPercent(), 0, 0},
	} {
		if !close(row.got, row.want, row.by) {
			t.Errorf("%s: %g, expected %g", row.says, row.got, row.want)
		}
	}
}

func TestWhatCannotBeIsRefusedAndSaysWhatToDo(t *testing.T) {
	entry := func(k trail.EntryKind, d trail.Data) trail.Entry {
		return trail.Entry{Kind: k, Person: "lumi", Day: civil.MustParse("2031-08-01"), Why: "w", Data: d}
	}
	for _, row := range []struct {
		entry trail.Entry
		want  string
	}{
		{trail.Entry{Kind: trail.LabNoted, Day: 1}, "say who"},
		{trail.Entry{Kind: trail.LabNoted, Person: "lumi"}, "say which"},
		{entry("lost", trail.Data{}), "no kind of entry"},
		{entry(trail.LabReceived, trail.Data{}), "as written on the packet"},
		{entry(trail.LabReceived, came("", "", 1)), "write what else is on it"},
		{entry(trail.LabReceived, came("K-001-C", "", 0)), "give 1 to 999"},
		{entry(trail.LabPlaced, trail.Data{}), "isn't named"},
		{entry(trail.LabWeighed, trail.Data{}), "no mass"},
		{entry(trail.LabWeighed, trail.Data{Masses: &trail.Masses{BeforeG: 2, AfterG: 3}}), "swapped?"},
		{entry(trail.LabWeighed, trail.Data{Masses: &trail.Masses{BeforeG: math.NaN(), AfterG: 3}}), "give grams"},
		{entry(trail.LabWeighed, trail.Data{Masses: &trail.Masses{BeforeG: math.Inf(1)}}), "give grams"},
		{entry(trail.LabMoisture, trail.Data{Moisture: &trail.Moisture{Samples: []trail.Sample{{ContainerG: 15, BeforeG: 14, AfterG: 13}}}}), "container < after <= before"},
		{entry(trail.LabMoisture, trail.Data{Moisture: &trail.Moisture{Samples: []trail.Sample{{ContainerG: 10, BeforeG: 10, AfterG: 10}}}}), "container < after <= before"},
		{entry(trail.LabSeedWeight, trail.Data{SeedWeight: &trail.SeedWeight{Grams: []float64{1}}}), "give 1 to 10000"},
		{entry(trail.LabFilled, trail.Data{Filled: &trail.Filled{Filled: 5, Tested: 4}}), "swapped?"},
		{entry(trail.LabFilled, trail.Data{Filled: &trail.Filled{}}), "at least 1"},
		{entry(trail.LabSown, trail.Data{Sown: &trail.Sown{Seeds: []int{100}, CountDays: []int{21, 7}}}), "each later"},
		{entry(trail.LabSown, trail.Data{Sown: &trail.Sown{CountDays: []int{21}}}), "number of seeds"},
		{entry(trail.LabCounted, trail.Data{Counted: &trail.Counted{Germinated: []int{-1}}}), "0 or more"},
		{entry(trail.LabStored, trail.Data{Store: "  "}), "place"},
		{entry(trail.LabAlias, trail.Data{}), "former code"},
		{entry(trail.LabWithdrawn, trail.Data{}), "give its number"},
	} {
		if err := row.entry.Check(); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s %+v: %v, expected %q", row.entry.Kind, row.entry.Data, err, row.want)
		}
	}
}

func TestResultsOfALot(t *testing.T) {
	lot := lotCode(trail.Selfing)
	b := newBook().report("05-02", on("T1", 2, 1)).report("08-01", picked("T1", 2, 1)).
		enter("08-04", trail.LabReceived, lot, came("K-001-C", trail.Selfing, 2)).
		enter("08-04", trail.LabWeighed, lot, trail.Data{Masses: &trail.Masses{BeforeG: 12.5}}).
		enter("08-11", trail.LabWeighed, lot, trail.Data{Masses: &trail.Masses{AfterG: 10}}).
		enter("08-12", trail.LabFilled, lot, trail.Data{Filled: &trail.Filled{Filled: 9, Tested: 300}}).
		enter("08-12", trail.LabFilled, lot, trail.Data{Filled: &trail.Filled{Filled: 6, Tested: 200, Catkins: 4}}).
		enter("08-12", trail.LabFilled, lot, trail.Data{Filled: &trail.Filled{Filled: 90, Tested: 200}}).
		enter("08-13", trail.LabWithdrawn, lot, trail.Data{Withdraws: 8}).
		enter("09-01", trail.LabSown, lot, trail.Data{Sown: &trail.Sown{Seeds: []int{100, 100}, CountDays: trail.DefaultCountDays}}).
		enter("09-08", trail.LabCounted, lot, trail.Data{Counted: &trail.Counted{Germinated: []int{4, 6}}})
	r := trail.Fold(b.Events).Lots[0].Results
	if len(r.Masses) != 1 || r.Masses[0].BeforeG != 12.5 || r.Masses[0].AfterG != 10 {
		t.Errorf("masses: %+v", r.Masses)
	}
	if r.Filled != (trail.Filled{Filled: 15, Tested: 500, Catkins: 4}) || r.ByCatkins != (trail.Filled{Filled: 6, Tested: 200, Catkins: 4}) || r.Samples != 2 {
		t.Errorf("filled: %+v, %+v of %d samples", r.Filled, r.ByCatkins, r.Samples)
	}
	if due := r.Due(); due != civil.MustParse("2031-09-22") {
		t.Errorf("the next count is due on %s, expected 22 September, 21 days after sowing", due)
	}
	if g := r.Germination[0]; g.Share().Got != 10 || g.Share().Of != 200 {
		t.Errorf("germinated: %+v", g)
	}
	b.enter("09-22", trail.LabCounted, lot, trail.Data{Counted: &trail.Counted{Germinated: []int{4, 101}}})
	tr := trail.Fold(b.Events)
	history := tr.Lots[0].History
	if last := history[len(history)-1]; last.Unused == "" || tr.Lots[0].Results.Due() == 0 {
		t.Errorf("more than were sown are taken: %+v", last)
	}
	b.enter("09-22", trail.LabCounted, lot, trail.Data{Counted: &trail.Counted{Germinated: []int{40, 60}}})
	if r := trail.Fold(b.Events).Lots[0].Results; r.Due() != 0 || r.Germination[0].Share().Got != 100 {
		t.Errorf("after the last count: %+v", r.Germination[0])
	}
}

func TestACountThatCannotBeIsNotUsed(t *testing.T) {
	lot := lotCode(trail.Selfing)
	for _, row := range []struct {
		says string
		day  string
		got  []int
		want string // empty: it counts
	}{
		{"on the day of sowing", "09-01", []int{4, 6}, "the day of sowing"},
		{"before it", "08-31", []int{4, 6}, "before the seed was sown on 2031-09-01"},
		{"a replicate too few", "09-08", []int{4}, "1 counts, 2 replicates"},
		{"more than were sown", "09-08", []int{4, 101}, "101 germinated of 100 in replicate 2"},
		{"the day after", "09-02", []int{0, 1}, ""},
	} {
		b := newBook().report("05-02", on("T1", 2, 1)).report("08-01", picked("T1", 2, 1)).
			enter("09-01", trail.LabSown, lot, trail.Data{Sown: &trail.Sown{Seeds: []int{100, 100}, CountDays: trail.DefaultCountDays}}).
			enter(row.day, trail.LabCounted, lot, trail.Data{Counted: &trail.Counted{Germinated: row.got}})
		l := trail.Fold(b.Events).Lots[0]
		last := l.History[len(l.History)-1]
		if (row.want == "") != (last.Unused == "") || !strings.Contains(last.Unused, row.want) {
			t.Errorf("%s: %q, expected %q", row.says, last.Unused, row.want)
		}
		if counted := l.Results.Germination[0].Counted != 0; counted != (row.want == "") {
			t.Errorf("%s: counted is %v", row.says, counted)
		}
	}
}
