package stage_test

import (
	"math"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// plain is an invented stage: above 5 °C from 1 March, 60 °C·d.
var plain = stage.Stage{
	Code: 7, Name: "bud break", MedianCd: 60, LogSD: 0.3,
	Heat: degreeday.Heat{Rule: degreeday.Rule{Method: degreeday.Mean, BaseC: 5, UpperC: math.NaN()}, Start: civil.MonthDay{Month: 3, Day: 1}},
}

func mayDay(day int) civil.Date { return civil.Of(2031, 5, day) }

// came is a report of 2031 that reached us at noon of its day.
func came(kind trail.Kind, code stage.BBCH, on civil.Date) trail.Report {
	return trail.Report{Kind: kind, BBCH: int(code), Day: on, At: on.In(time.UTC, 12, 0)}
}

// fourChances is a forecast of 1 to 5 May by hand.
func fourChances(issued civil.Date) stage.Issued {
	return stage.Issued{Code: 7, On: issued, Days: ensemble.Days{From: mayDay(1), By: []float64{0.1, 0.3, 0.6, 0.9, 1}}}
}

func scoring() stage.Scoring {
	return stage.Scoring{
		Stages: []stage.Stage{plain}, Season: 2031, Today: mayDay(20), Zone: time.UTC,
		Record:  stage.Record{Issued: []stage.Issued{fourChances(mayDay(3) - 14)}},
		Reports: []trail.Report{came(trail.StageSeen, 7, mayDay(3))},
	}
}

func TestAForecastIsScoredByHand(t *testing.T) {
	in := scoring()
	got := stage.Scores(in)
	if len(got) != 1 {
		t.Fatalf("%d scores, want the one of 14 days before", len(got))
	}
	s := got[0]
	if s.Lead != 14 || s.Issued != mayDay(3)-14 || s.Seen != mayDay(3) || s.NotYet != 0 || s.Code != 7 {
		t.Errorf("%+v", s)
	}
	// By hand: nobody had looked before, so that only (1−0.6)² + (1−0.9)² from the
	// day on count; the median lies 2/3 into the day from 0.3 to 0.6, which is 3 May.
	if math.Abs(s.CRPS-0.17) > 1e-12 || math.Abs(s.ErrorDays-1.0/6) > 1e-9 || s.PIT != (ensemble.PIT{Low: 0, High: 0.6}) || s.Run() != 0 {
		t.Errorf("CRPS %.4f, error %.4f, %+v; want 0.17, 0.1667 and 0 to 0.6", s.CRPS, s.ErrorDays, s.PIT)
	}
	if s.Basis != stage.BasisNone || s.Past != 0 || !math.IsNaN(s.CRPSMeanDate) || !math.IsNaN(s.CRPSRegression) {
		t.Errorf("without any past there is a baseline: %+v", s)
	}

	for _, row := range []struct {
		name        string
		notYet      int // day of May
		seen        int
		crps, error float64
		pit         ensemble.PIT
	}{ // by hand
		{"looked at the day before: 0.1² + 0.3² before the day count too", 2, 3, 0.27, 1.0 / 6, ensemble.PIT{Low: 0.3, High: 0.6}},
		{"two days between visits: what the forecast says of the first of them doesn't count", 1, 3, 0.18, 1.0 / 6, ensemble.PIT{Low: 0.1, High: 0.6}},
		{"the median lies among the days between visits", 1, 4, 0.02, 0, ensemble.PIT{Low: 0.1, High: 0.9}},
		{"the median lies before them", 3, 5, 0.46, 2 + 1.0/6 - 3, ensemble.PIT{Low: 0.6, High: 1}},
	} {
		in.Reports = []trail.Report{came(trail.NotYet, 7, mayDay(row.notYet)), came(trail.StageSeen, 7, mayDay(row.seen))}
		in.Record.Issued = []stage.Issued{fourChances(mayDay(row.seen) - 14)}
		s := stage.Scores(in)[0]
		if math.Abs(s.CRPS-row.crps) > 1e-12 || math.Abs(s.ErrorDays-row.error) > 1e-9 || s.PIT != row.pit || s.Run() != row.seen-row.notYet {
			t.Errorf("%s: %+v, want %.4f, %.4f and %+v", row.name, s, row.crps, row.error, row.pit)
		}
	}
}

func TestWhatIsScored(t *testing.T) {
	lead := func(days int) civil.Date { return mayDay(3) - civil.Date(days) }
	for _, row := range []struct {
		name   string
		change func(*stage.Scoring)
		leads  []int
	}{
		{"one forecast at one lead", func(*stage.Scoring) {}, []int{14}},
		{"nothing before the stage is seen", func(in *stage.Scoring) { in.Reports = nil }, nil},
		{"nothing when it was found not yet there", func(in *stage.Scoring) { in.Reports[0].Kind = trail.NotYet }, nil},
		{"no report of a day to come", func(in *stage.Scoring) { in.Today = mayDay(2) }, nil},
		{"no report that is yet to reach us", func(in *stage.Scoring) { in.Reports[0].At = mayDay(30).In(time.UTC, 12, 0) }, nil},
		{"no stage that only a later one implies", func(in *stage.Scoring) { in.Reports[0].BBCH = 60 }, nil},
		{"all leads on which there was a forecast", func(in *stage.Scoring) {
			in.Record.Issued = nil
			for _, l := range []int{60, 56, 42, 28, 21, 15, 14, 7, 3, 0} {
				in.Record.Issued = append(in.Record.Issued, fourChances(lead(l)))
			}
		}, []int{56, 42, 28, 21, 14, 7, 3}},
		{"an unchanged forecast counts on the days that are marked, and on no other", func(in *stage.Scoring) {
			in.Record.Issued = []stage.Issued{fourChances(lead(30))}
			in.Record.Marked = map[civil.Date]bool{lead(28): true, lead(7): true, lead(8): true}
		}, []int{28, 7}},
		{"a forecast of another stage isn't taken for it", func(in *stage.Scoring) { in.Record.Issued[0].Code = 60 }, nil},
		{"a sight that was taken back isn't scored", func(in *stage.Scoring) {
			in.Reports = append(in.Reports, came(trail.NotYet, 7, mayDay(4)))
		}, nil},
		{"after a correction the leads count from the later day", func(in *stage.Scoring) {
			in.Reports = append(in.Reports, came(trail.NotYet, 7, mayDay(4)), came(trail.StageSeen, 7, mayDay(10)))
		}, []int{21}}, // 14 days before 3 May is 21 before 10 May
		{"a forecast that was cut at a sight taken back since was none", func(in *stage.Scoring) {
			in.Record.Issued = append(in.Record.Issued, fourChances(mayDay(3)))
			in.Reports = append(in.Reports, came(trail.NotYet, 7, mayDay(4)), came(trail.StageSeen, 7, mayDay(10)))
		}, []int{21}}, // and not 7, issued on 3 May with the sight
	} {
		in := scoring()
		row.change(&in)
		var leads []int
		for _, s := range stage.Scores(in) {
			leads = append(leads, s.Lead)
		}
		if len(leads) != len(row.leads) {
			t.Errorf("%s: leads %v, want %v", row.name, leads, row.leads)
			continue
		}
		for i := range leads {
			if leads[i] != row.leads[i] {
				t.Errorf("%s: leads %v, want %v", row.name, leads, row.leads)
			}
		}
	}
}

func TestAForecastThatNeverGetsThereIsScored(t *testing.T) {
	in := scoring()
	in.Record.Issued[0].Days = ensemble.Days{}
	s := stage.Scores(in)[0]
	// By hand: from 3 May to 31 December, 243 days at 1².
	if !math.IsNaN(s.ErrorDays) || math.Abs(s.CRPS-243) > 1e-9 || s.Inside80() != 0 {
		t.Errorf("%+v", s)
	}
}
