package words

import (
	"math"
	"strconv"
	"strings"

	"budcall/internal/civil"
)

// How good the forecasts were, on the season board.
const (
	SkillTitle    Key = "skill.title"
	SkillSite     Key = "skill.site"
	SkillLate     Key = "skill.late"
	SkillEarly    Key = "skill.early"
	SkillRight    Key = "skill.right"
	SkillFits     Key = "skill.fits"
	SkillRun      Key = "skill.run"
	SkillOpen     Key = "skill.open"
	SkillBeyond   Key = "skill.beyond"
	SkillLead     Key = "skill.lead"
	SkillCount    Key = "skill.count"
	SkillOff      Key = "skill.off"
	SkillDays     Key = "skill.days"
	SkillGain     Key = "skill.gain"
	SkillInside   Key = "skill.inside"
	SkillShare    Key = "skill.share"
	SkillHint     Key = "skill.hint"
	SkillComputed Key = "skill.computed"
)

var englishSkill = Texts{
	SkillTitle:    "How good the forecasts were",
	SkillSite:     "Forecast {list}",
	SkillLate:     "{lead} days before: {n} day too late | {lead} days before: {n} days too late",
	SkillEarly:    "{lead} days before: {n} day too early | {lead} days before: {n} days too early",
	SkillRight:    "{lead} days before: right to the day",
	SkillFits:     "{lead} days before: right, as far as is known",
	SkillRun:      "{said} (not yet there on {day})",
	SkillOpen:     "{said} (nobody had looked before)",
	SkillBeyond:   "{lead} days before: not within the year",
	SkillLead:     "Days before",
	SkillCount:    "Forecasts",
	SkillOff:      "Off by",
	SkillDays:     "{n} days",
	SkillGain:     "Better by",
	SkillInside:   "In range",
	SkillShare:    "{n} %",
	SkillHint:     "Of all stages reported seen this season, from so many days before. Off by: how far the middle of the forecast lay from the days on which the stage may have been reached, by the visits, on the mean. Better by: how much less the forecast missed than the mean date of past years, or than a reckoning from the temperature so far if that missed less; below 0 it missed more. In range: how often the 8 in 10 were right; 80 % is honest.",
	SkillComputed: "{n} of the {all} compared forecasts have past dates that are computed from station temperatures, not seen.",
}

// ScoreLine says of one forecast by how many days it was wrong, rounded to
// whole ones: "14 days before: 2 days too late". An error that isn't a number
// is a forecast whose median lay beyond the year. What was seen is known to so
// many days, 0 where nobody had looked before.
func (c *Catalogue) ScoreLine(leadDays int, errorDays float64, runDays int) string {
	lead := Args{"lead": strconv.Itoa(leadDays)}
	if math.IsNaN(errorDays) {
		return c.Text(SkillBeyond, lead)
	}
	switch n := int(math.Round(errorDays)); {
	case n > 0:
		return c.Count(SkillLate, n, lead)
	case n < 0:
		return c.Count(SkillEarly, -n, lead)
	}
	if runDays == 1 {
		return c.Text(SkillRight, lead)
	}
	return c.Text(SkillFits, lead)
}

// ScoredOf says of forecasts what they were held to, where that is more than a
// day: "… (not yet there on Sat 26 Apr)".
func (c *Catalogue) ScoredOf(said string, notYet civil.Date, runDays int) string {
	switch runDays {
	case 0:
		return c.Text(SkillOpen, Args{"said": said})
	case 1:
		return said
	}
	return c.Text(SkillRun, Args{"said": said, "day": c.Day(notYet)})
}

// MeanDays gives a mean of days with one decimal: "2.1 days".
func (c *Catalogue) MeanDays(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "–"
	}
	return c.Text(SkillDays, Args{"n": c.decimal(x)})
}

// Share gives a share of 1 in whole per cent: "83 %".
func (c *Catalogue) Share(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "–"
	}
	return c.Text(SkillShare, Args{"n": strings.Replace(c.Number(100*x), "-", "−", 1)})
}
