package demo

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/postgres"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// clone copies an outcome so far that a test may break the copy.
func (o outcome) clone() outcome {
	o.truths = maps.Clone(o.truths)
	sites := o.sites
	o.sites = nil
	for _, r := range sites {
		c := *r
		c.calls = maps.Clone(r.calls)
		c.reports, c.tellings, c.told = slices.Clone(r.reports), slices.Clone(r.tellings), slices.Clone(r.told)
		o.sites = append(o.sites, &c)
	}
	return o
}

// drop removes a site's reports of a kind.
func (r *record) drop(k trail.Kind) {
	r.reports = slices.DeleteFunc(r.reports, func(rep trail.Report) bool { return rep.Kind == k })
}

// end makes a call end as it didn't.
func (r *record) end(c call.Task, s call.Standing) {
	state := r.calls[c]
	state.Standing = s
	r.calls[c] = state
}

// A whole season is as it must be; each thing that goes wrong with it is said.
func TestWhatASeasonMustBe(t *testing.T) {
	good := whole(t).outcome
	if missed := good.missed(); len(missed) > 0 {
		t.Fatal(missed)
	}
	plain, short := -1, -1 // a site whose seed ripens, and one whose doesn't
	for i, r := range good.sites {
		if good.truths[r.site.Code].reached(stage.SeedRipe, r.site.Settings.SeasonEnd.In(seasonYear)) {
			plain = i
		} else {
			short = i
		}
	}
	if plain < 0 || short < 0 {
		t.Fatal("the example needs a site with ripe seed and one without")
	}
	for _, row := range []struct {
		breaks string
		how    func(o *outcome, r, short *record)
		says   string
	}{
		{"the kit never arrived", func(_ *outcome, r, _ *record) { r.end(call.SendKit, call.NotNeeded) }, `"send kit" ended as "not needed"`},
		{"no bags were reported", func(_ *outcome, r, _ *record) { r.drop(trail.BagsOn) }, "lacks bags"},
		{"one control bag is missing", func(_ *outcome, r, _ *record) {
			for i := range r.reports {
				if r.reports[i].Kind == trail.BagsOn && r.reports[i].Tree == r.living()[0].Short {
					r.reports[i].Control = 0
				}
			}
		}, r0(good.sites[plain]) + " lacks bags"},
		{"the buds had broken", func(o *outcome, r, _ *record) {
			o.truths[r.site.Code] = truth{stage.BudBreak: civil.Of(seasonYear, 3, 1), stage.SeedRipe: o.truths[r.site.Code][stage.SeedRipe]}
		}, "after bud break"},
		{"bagging ended too late", func(_ *outcome, r, _ *record) { r.end(call.BagOn, call.TooLate) }, `"bag on" ended as "too late"`},
		{"bags stayed on", func(_ *outcome, r, _ *record) { r.end(call.TakeOff, call.NotNeeded) }, `"take off" ended as`},
		{"bags came off early", func(_ *outcome, r, _ *record) {
			for i := range r.reports {
				if r.reports[i].Kind == trail.BagsOff {
					r.reports[i].Day = civil.Of(seasonYear, 5, 1)
				}
			}
		}, "before the days told"},
		{"a call stands open", func(_ *outcome, r, _ *record) { r.end(call.LookAtSeed, call.Hurry) }, `still stands as "hurry"`},
		{"seed was left", func(_ *outcome, r, _ *record) { r.drop(trail.Picked) }, "seed was picked from 0 trees"},
		{"picking never ended", func(_ *outcome, r, _ *record) { r.end(call.PickSeed, call.NotNeeded) }, `"pick seed" ended as`},
		{"the short season wasn't told", func(_ *outcome, _, s *record) {
			state := s.calls[call.ShortSeason]
			state.Asked = nil
			s.calls[call.ShortSeason] = state
		}, "nobody was told"},
		{"unripe seed was picked", func(_ *outcome, _, s *record) {
			s.reports = append(s.reports, trail.Report{Kind: trail.Picked, Tree: "T1", Selfing: 1})
		}, "can't have been ripe"},
		{"a site got no mail", func(_ *outcome, r, _ *record) { r.letters = 0 }, "no mail or no report"},
		{"a mail was lost", func(o *outcome, _, _ *record) { o.mails-- }, "were counted as sent"},
		{"a message was lost", func(o *outcome, _, _ *record) { o.events-- }, "messages to the webhook"},
		{"silence was left at that", func(o *outcome, _, _ *record) { o.forget(call.AnswerOverdue) }, "(answer overdue)"},
		{"can't was left at that", func(o *outcome, _, _ *record) { o.forget(call.CannotGo) }, "(can't go)"},
		{"the forecast was asked rudely", func(o *outcome, _, _ *record) { o.troubles = []string{"no name"} }, "refused a question: no name"},
		{"no forecast was asked for", func(o *outcome, _, _ *record) { o.answers = 0 }, "never asked"},
	} {
		o := good.clone()
		row.how(&o, o.sites[plain], o.sites[short])
		if got := strings.Join(o.missed(), "\n"); !strings.Contains(got, row.says) {
			t.Errorf("%s: want %q in:\n%s", row.breaks, row.says, got)
		}
	}
}

func r0(r *record) string { return r.living()[0].Short }

// forget removes everything that was told for a reason.
func (o *outcome) forget(why call.Reason) {
	for _, r := range o.sites {
		r.told = slices.DeleteFunc(r.told, func(x postgres.Told) bool { return x.Reason == why })
	}
}
