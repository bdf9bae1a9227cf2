package cli

import (
	"time"

	"budcall/internal/app"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
	"budcall/internal/trail"
)

// whyAnswer is an answer to why as programs read it.
type whyAnswer struct {
	Site     string         `json:"site"`
	SiteName string         `json:"site_name"`
	Call     call.Task      `json:"call"`
	Season   int            `json:"season"`
	AsOf     time.Time      `json:"as_of"`
	Standing call.Standing  `json:"standing"` // empty: far off
	Reason   call.Reason    `json:"reason"`
	Since    civil.Date     `json:"since"`
	Days     civil.Range    `json:"days"`
	Best     civil.Date     `json:"best"`
	With     string         `json:"with"` // code of the person who has it
	AnswerBy *time.Time     `json:"answer_by"`
	Asked    []whyAsked     `json:"asked"`
	Why      notice.Why     `json:"why"`
	Told     []whyTold      `json:"told"`
	Reports  []trail.Report `json:"reports"`
}

type whyAsked struct {
	Person string    `json:"person"`
	At     time.Time `json:"at"`
}

type whyTold struct {
	At       time.Time     `json:"at"`
	Person   string        `json:"person"`
	Standing call.Standing `json:"standing"`
	Reason   call.Reason   `json:"reason"`
	Letter   string        `json:"letter"` // its state; empty: not yet written
}

func whyJSON(w app.Why) whyAnswer {
	s := w.State
	out := whyAnswer{
		Site: w.Site.Code, SiteName: w.Site.Name, Call: w.Task, Season: w.Season, AsOf: w.Now,
		Standing: s.Standing, Reason: s.Reason, Since: s.Since, Days: s.Days, Best: s.Best, With: w.With.Code,
		Asked: []whyAsked{}, Why: w.Why, Told: []whyTold{}, Reports: append([]trail.Report{}, w.Reports...),
	}
	if !s.AnswerBy.IsZero() {
		out.AnswerBy = &s.AnswerBy
	}
	for _, a := range w.Asked {
		out.Asked = append(out.Asked, whyAsked{a.Code, a.At})
	}
	for _, t := range w.Told {
		out.Told = append(out.Told, whyTold{t.At, t.Person, t.Standing, t.Reason, t.State})
	}
	return out
}
