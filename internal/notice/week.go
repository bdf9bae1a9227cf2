package notice

import (
	"strconv"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/stage"
	"budcall/internal/trail"
	"budcall/internal/words"
)

// Weekly is the kind of letter that tells the coordinator how every site stands.
const Weekly Kind = "weekly"

// Overview is how a programme stands on a day of its season, and what the
// fortnight from then on brings.
type Overview struct {
	Until    civil.Date    `json:"until"` // last day of the fortnight
	Sites    []SiteWeek    `json:"sites"`
	Troubles []string      `json:"troubles,omitempty"` // what the ops person has been told, and isn't over
	Skill    []stage.Skill `json:"skill,omitempty"`    // of the season's forecasts over all stages, by lead
	Board    string        `json:"board,omitempty"`    // signed, opens the season board
}

// SiteWeek is a site in it.
type SiteWeek struct {
	Code   string      `json:"code"`
	Name   string      `json:"name"`
	Open   []OpenCall  `json:"open,omitempty"`   // somebody is asked now
	Coming []OpenCall  `json:"coming,omitempty"` // whose days begin within the fortnight
	Stages []StageWeek `json:"stages,omitempty"` // that are likely within it
}

// OpenCall is a call and whom it is with.
type OpenCall struct {
	Task     call.Task     `json:"task"`
	Standing call.Standing `json:"standing"`
	Days     civil.Range   `json:"days"`
	With     Contact       `json:"with,omitzero"`
	Asked    time.Time     `json:"asked,omitzero"`     // when, in the programme's zone
	Silent   bool          `json:"silent,omitempty"`   // whoever has it was asked and hasn't answered
	NobodyIs bool          `json:"nobody,omitempty"`   // everybody who could be asked has been asked
	Answer   *trail.Report `json:"answer,omitempty"`   // the newest
	By       string        `json:"answered,omitempty"` // name of who gave it
}

// StageWeek is a stage's forecast; P90 is zero where it lies beyond the year.
type StageWeek struct {
	BBCH          stage.BBCH `json:"bbch"`
	P10, P50, P90 civil.Date
}

// weekSubject says how much is open, and how much of it unanswered.
func (w writer) weekSubject() string {
	return w.c.Count(words.WeekSubject, w.Week.silent(), words.Args{"day": w.c.Day(w.Today), "open": strconv.Itoa(w.Week.open())})
}

func (o *Overview) open() (n int) {
	for _, s := range o.Sites {
		n += len(s.Open)
	}
	return n
}

func (o *Overview) silent() (n int) {
	for _, s := range o.Sites {
		for _, c := range s.Open {
			if c.Silent || c.NobodyIs {
				n++
			}
		}
	}
	return n
}

// week is the body of an overview.
func (w writer) week() []block {
	blocks := []block{{Shape: title, Lines: []string{w.weekSubject()}}}
	blocks = append(blocks, w.silentOnes()...)
	blocks = append(blocks, w.weekSites()...)
	if len(w.Week.Troubles) > 0 {
		blocks = append(blocks, block{Shape: list, Head: w.c.Text(words.WeekTrouble), Lines: w.Week.Troubles})
	}
	blocks = append(blocks, w.weekScores())
	if w.Week.Board != "" {
		blocks = append(blocks, block{Shape: button, Head: w.c.Text(words.WeekBoard), URL: w.Week.Board})
	}
	return blocks
}

// silentOnes names who hasn't answered, with what number to ring.
func (w writer) silentOnes() []block {
	var people []person
	for _, s := range w.Week.Sites {
		for _, c := range s.Open {
			args := words.Args{"task": w.c.TaskAt(c.Task, s.Name), "who": w.person(c.With).Said, "moment": w.c.Moment(c.Asked)}
			switch {
			case c.NobodyIs:
				people = append(people, person{Said: w.c.Text(words.WeekNobody, args), Phone: c.With.Phone})
			case c.Silent:
				people = append(people, person{Said: w.c.Text(words.WeekSilent, args), Phone: c.With.Phone})
			}
		}
	}
	if people == nil {
		return nil
	}
	return []block{{Shape: phones, Head: w.c.Text(words.WeekSilentHead), People: people}}
}

// weekSites says each site at which something is open or coming, and names the
// others in one line.
func (w writer) weekSites() []block {
	var blocks []block
	var quiet []string
	for _, s := range w.Week.Sites {
		lines := w.siteWeek(s)
		if lines == nil {
			quiet = append(quiet, s.Name)
			continue
		}
		blocks = append(blocks, block{Shape: list, Head: w.c.Text(words.WhereSite, words.Args{"site": s.Name, "code": s.Code}), Lines: lines})
	}
	if quiet != nil {
		day := words.Args{"day": w.c.Day(w.Week.Until)}
		blocks = append(blocks, block{Shape: fact, Head: w.c.Text(words.WeekQuiet, day), Lines: []string{w.c.List(quiet) + "."}})
	}
	return blocks
}

func (w writer) siteWeek(s SiteWeek) (lines []string) {
	for _, c := range s.Open {
		lines = append(lines, w.openCall(c))
	}
	for _, c := range s.Coming {
		lines = append(lines, w.c.Text(words.WeekComing, words.Args{"task": w.c.Task(c.Task), "days": w.c.Days(c.Days), "who": w.person(c.With).Said}))
	}
	for _, st := range s.Stages {
		args := words.Args{"stage": w.c.Stage(int(st.BBCH)), "day": w.c.Day(st.P50), "first": w.c.Day(st.P10), "last": w.c.Day(st.P90)}
		form := words.WeekStage
		if st.P90 == 0 {
			form = words.WeekStageOpen
		}
		lines = append(lines, w.c.Text(form, args))
	}
	return lines
}

// openCall says a call that asks somebody, and what was heard of it.
func (w writer) openCall(c OpenCall) string {
	form := words.WeekOpen
	switch {
	case c.Days.Len() == 0:
		form = words.WeekOpenAlone
	case c.Days.Last < w.Today:
		form = words.WeekOpenPast
	}
	said := w.c.Text(form, words.Args{
		"task": w.c.Task(c.Task), "standing": w.c.Standing(c.Standing), "days": w.c.Days(c.Days), "last": w.c.Day(c.Days.Last),
	})
	args := words.Args{"said": said, "who": w.person(c.With).Said}
	switch {
	case c.NobodyIs:
		return w.c.Text(words.WeekOpenNobody, args)
	case c.Silent:
		return w.c.Text(words.WeekOpenSilent, args)
	case c.Answer != nil:
		args["who"], args["what"], args["day"] = c.By, w.c.Report(*c.Answer), w.c.Day(c.Answer.Day)
		return w.c.Text(words.WeekOpenAnswer, args)
	}
	return w.c.Text(words.WeekOpenWith, args)
}

// weekScores says how good the forecasts were, lead by lead.
func (w writer) weekScores() block {
	b := block{Shape: list, Head: w.c.Text(words.SkillTitle)}
	for _, s := range w.Week.Skill {
		if s.Timed == 0 {
			continue
		}
		args := words.Args{"lead": strconv.Itoa(s.Lead), "off": w.c.MeanDays(s.AbsErrorDays), "inside": w.c.Share(s.Inside80)}
		line := w.c.Count(words.WeekScore, s.N, args)
		if gain, ok := s.Skill(); ok {
			form := words.WeekScoreGain
			if gain < 0 {
				form, gain = words.WeekScoreLoss, -gain
			}
			line = w.c.Text(form, words.Args{"said": line, "gain": w.c.Share(gain)})
		}
		b.Lines = append(b.Lines, line)
	}
	if b.Lines == nil {
		return block{Shape: fact, Head: b.Head, Lines: []string{w.c.Text(words.WeekNoScore)}}
	}
	b.Lines = append(b.Lines, w.c.Text(words.WeekScoreHow))
	return b
}
