package notice

import (
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/words"
)

// Preview is what a change of a site's settings would do.
type Preview struct {
	Changed  []config.Changed `json:"changed,omitempty"` // settings; none: only remarks are changed
	Unknown  bool             `json:"unknown,omitempty"` // the site can't be forecast: Days and Mails say nothing
	Days     []MovedDays      `json:"days,omitempty"`
	Mails    int              `json:"mails,omitempty"` // that would be sent now or say something else
	Springs  Springs          `json:"springs,omitzero"`
	Approval bool             `json:"approval,omitempty"` // the coordinator is asked first
}

// MovedDays is a call whose days would be others; a range without days is one
// that isn't foreseen yet.
type MovedDays struct {
	Task   call.Task   `json:"task"`
	Before civil.Range `json:"before,omitzero"`
	After  civil.Range `json:"after,omitzero"`
}

// Springs is what came of past springs, played with the settings as they are
// and with the changed ones: the same hidden seasons and people.
type Springs struct {
	Played  int       `json:"played,omitempty"` // how many
	Before  SpringSum `json:"before,omitzero"`
	After   SpringSum `json:"after,omitzero"`
	Late    bool      `json:"late,omitempty"`    // it took too long, so that fewer were played
	Unfit   bool      `json:"unfit,omitempty"`   // there aren't the years, or not the method, to play any
	Nothing bool      `json:"nothing,omitempty"` // nothing that counts for it is changed
}

// SpringSum is the sums over the springs played.
type SpringSum struct {
	Trips  int `json:"trips"`
	Missed int `json:"missed"` // trees that were bagged too late or never
}

// Lines says a preview, a sentence each.
func (p Preview) Lines(c *words.Catalogue) []string {
	var lines []string
	for _, ch := range p.Changed {
		path := config.Setting(ch.Path)
		switch {
		case ch.Before == "":
			lines = append(lines, c.Text(words.SettingsSet, words.Args{"path": path, "after": ch.After}))
		case ch.After == "":
			lines = append(lines, c.Text(words.SettingsUnset, words.Args{"path": path, "before": ch.Before}))
		default:
			lines = append(lines, c.Text(words.SettingsLine, words.Args{"path": path, "before": ch.Before, "after": ch.After}))
		}
	}
	if len(p.Changed) == 0 {
		return []string{c.Text(words.SettingsOnlyRemarks)}
	}
	lines = append(lines, p.today(c)...)
	return append(lines, p.Springs.lines(c)...)
}

// today says what changes by the forecast as it stands.
func (p Preview) today(c *words.Catalogue) (lines []string) {
	if p.Unknown {
		return []string{c.Text(words.SettingsNoForecast)}
	}
	for _, d := range p.Days {
		lines = append(lines, c.Text(words.SettingsDays, words.Args{"task": c.Task(d.Task), "before": daysOr(c, d.Before), "after": daysOr(c, d.After)}))
	}
	if len(p.Days) == 0 {
		lines = append(lines, c.Text(words.SettingsSameDays))
	}
	if p.Mails == 0 {
		return append(lines, c.Text(words.SettingsNoMails))
	}
	return append(lines, c.Count(words.SettingsMails, p.Mails))
}

func daysOr(c *words.Catalogue, days civil.Range) string {
	if days.Len() == 0 {
		return c.Text(words.SettingsNoDay)
	}
	return c.Days(days)
}

// lines says what came of past springs.
func (s Springs) lines(c *words.Catalogue) (lines []string) {
	switch {
	case s.Nothing:
		return []string{c.Text(words.SettingsSpringsAlike)}
	case s.Unfit:
		return []string{c.Text(words.SettingsSpringsNone)}
	}
	if s.Played > 0 {
		lines = append(lines, c.Count(words.SettingsSprings, s.Played, words.Args{"trips": s.trips(c), "trees": s.trees(c)}))
	}
	if s.Late {
		lines = append(lines, c.Text(words.SettingsSpringsLate))
	}
	return lines
}

func (s Springs) trips(c *words.Catalogue) string {
	switch more := s.After.Trips - s.Before.Trips; {
	case more > 0:
		return c.Count(words.SettingsTripsMore, more)
	case more < 0:
		return c.Count(words.SettingsTripsFewer, -more)
	}
	return c.Text(words.SettingsTripsSame)
}

func (s Springs) trees(c *words.Catalogue) string {
	more := s.After.Missed - s.Before.Missed
	switch {
	case more > 0:
		return c.Count(words.SettingsTreesMore, more)
	case more < 0:
		return c.Count(words.SettingsTreesFewer, -more)
	case s.After.Missed == 0:
		return c.Text(words.SettingsTreesNone)
	}
	return c.Count(words.SettingsTreesSame, s.After.Missed)
}
