package config_test

import (
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/stage"
)

func TestOtherHeatsOfAProfile(t *testing.T) {
	files := folder(t, "testdata/good", false)
	files["profiles/birch.yml"] = append(files["profiles/birch.yml"], `heats:
  - {name: long days, response: day-length, base_c: 2, start: 1 February, weight: 0.5, needs: [{code: 7, median_cd: 70, log_sd: 0.3}]}
  - {name: gradual, response: logistic, centre_c: 10, start: 1 March}
  - {name: above, response: above-base, base_c: -1, start: 1 January}
  - {name: chosen, response: fitted}
`...)
	p, problems := config.Parse(files, time.LoadLocation)
	if len(problems) > 0 {
		t.Fatal(lines(problems))
	}
	want := []stage.Counting{
		{Name: "long days", Weight: 0.5, Warmth: stage.Warmth{Response: stage.DayLength, BaseC: 2, Start: civil.MonthDay{Month: time.February, Day: 1}}},
		{Name: "gradual", Weight: 1, Warmth: stage.Warmth{Response: stage.Logistic, BaseC: 10, Start: civil.MonthDay{Month: time.March, Day: 1}}},
		{Name: "above", Weight: 1, Warmth: stage.Warmth{Response: stage.AboveBase, BaseC: -1, Start: civil.MonthDay{Month: time.January, Day: 1}}},
		{Name: "chosen", Weight: 1, Fitted: true},
	}
	got := p.Profiles["birch"].Heats
	if len(got) != len(want) {
		t.Fatalf("%d heats: %+v", len(got), got)
	}
	if got[0].Needs[stage.BudBreak] != (stage.Requirement{MedianCd: 70, LogSD: 0.3}) || len(got[0].Needs) != 1 || len(got[1].Needs) != 0 {
		t.Errorf("needs %v and %v", got[0].Needs, got[1].Needs)
	}
	for i, w := range want {
		if g := got[i]; g.Name != w.Name || g.Weight != w.Weight || g.Warmth != w.Warmth || g.Fitted != w.Fitted {
			t.Errorf("%+v, want %+v", g, w)
		}
	}
}
