package web

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"budcall/internal/stage"
	"budcall/internal/words"
)

// skillView is how good the programme's forecasts were, as it is written.
type skillView struct {
	Rows     []skillRow
	Computed string // how much of it is against dates that nobody saw; empty for none
}

// skillRow is one lead.
type skillRow struct{ Lead, Count, Off, Gain, Inside string }

// saidLeads are the leads that a site's stage is told of; the table has all.
var saidLeads = []int{28, 14, 7}

// scored says how the forecasts of a stage were: "Forecast 14 days before: 2
// days too late; 7 days before: right to the day". It is empty where none is.
func scored(c *words.Catalogue, scores []stage.Score) string {
	var list, leads []string
	alike := true
	for _, s := range scores {
		if slices.Contains(saidLeads, s.Lead) {
			list, leads = append(list, c.ScoreLine(s.Lead, s.ErrorDays, s.Run())), append(leads, strconv.Itoa(s.Lead))
			alike = alike && s.ErrorDays == 0 && s.Run() != 1
		}
	}
	switch {
	case list == nil:
		return ""
	case alike: // said once
		list = []string{c.Text(words.SkillFits, words.Args{"lead": c.List(leads)})}
	}
	said := c.Text(words.SkillSite, words.Args{"list": strings.Join(list, "; ")})
	return c.ScoredOf(said, scores[0].NotYet, scores[0].Run())
}

func viewSkill(c *words.Catalogue, skills []stage.Skill) (v skillView) {
	compared, computed := 0, 0
	for _, s := range skills {
		gain, ok := s.Skill()
		if !ok {
			gain = math.NaN()
		}
		off := s.AbsErrorDays
		if s.Timed == 0 {
			off = math.NaN()
		}
		v.Rows = append(v.Rows, skillRow{
			Lead: strconv.Itoa(s.Lead), Count: strconv.Itoa(s.N), Off: c.MeanDays(off), Gain: c.Share(gain), Inside: c.Share(s.Inside80),
		})
		compared, computed = compared+s.Compared, computed+s.Computed
	}
	if computed > 0 {
		v.Computed = c.Text(words.SkillComputed, words.Args{"n": strconv.Itoa(computed), "all": strconv.Itoa(compared)})
	}
	return v
}
