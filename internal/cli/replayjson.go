package cli

import (
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// replayAnswer is a season as programs read it.
type replayAnswer struct {
	Programme string            `json:"programme"`
	Year      int               `json:"year"`
	From      civil.Date        `json:"from"`
	To        civil.Date        `json:"to"`
	Sites     []string          `json:"sites"`
	Calls     []replayCall      `json:"calls"`
	Changes   []replayChange    `json:"changes"`
	Forecasts []replayForecast  `json:"forecasts"`
	Narrowing []replayNarrowing `json:"narrowing"`
	Scores    []replayScore     `json:"scores"`
	Skills    []replaySkill     `json:"skills"`
	Mails     []replayMail      `json:"mails"`
	Reports   []trail.Report    `json:"reports"`
	Troubles  []string          `json:"troubles"` // that aren't over at the end
}

type replayCall struct {
	At       time.Time     `json:"at"`
	Mail     string        `json:"mail"` // its id
	Person   string        `json:"person"`
	Site     string        `json:"site"`
	Task     call.Task     `json:"task"`
	Standing call.Standing `json:"standing"`
	Reason   call.Reason   `json:"reason"`
	Days     civil.Range   `json:"days"`
	Best     civil.Date    `json:"best"`
	Passed   bool          `json:"passed_on"`
}

type replayChange struct {
	At       time.Time     `json:"at"`
	Site     string        `json:"site"`
	Task     call.Task     `json:"task"`
	Standing call.Standing `json:"standing"`
	Reason   call.Reason   `json:"reason"`
	Days     civil.Range   `json:"days"`
}

type replayForecast struct {
	Site   string     `json:"site"`
	Stage  string     `json:"stage"`
	Issued civil.Date `json:"issued"`
	P10    civil.Date `json:"p10"`
	P50    civil.Date `json:"p50"`
	P90    civil.Date `json:"p90"`
}

type replayNarrowing struct {
	Site  string       `json:"site"`
	Stage string       `json:"stage"`
	Came  civil.Date   `json:"came"`
	Seen  bool         `json:"seen"` // reported; else as last expected
	Leads []replayLead `json:"leads"`
}

type replayLead struct {
	Lead   int        `json:"lead"`
	Issued civil.Date `json:"issued"`
	P10    civil.Date `json:"p10"`
	P50    civil.Date `json:"p50"`
	P90    civil.Date `json:"p90"`
}

// replayScore is how one forecast did, in days.
type replayScore struct {
	Site           string      `json:"site"`
	Stage          string      `json:"stage"`
	Lead           int         `json:"lead"`
	Issued         civil.Date  `json:"issued"`
	Seen           civil.Date  `json:"seen"`
	Error          *float64    `json:"error"` // median less reported day; null: beyond the year
	CRPS           float64     `json:"crps"`
	CRPSMeanDate   *float64    `json:"crps_mean_date"`
	CRPSRegression *float64    `json:"crps_regression"`
	PITLow         float64     `json:"pit_low"`
	PITHigh        float64     `json:"pit_high"`
	PastDates      int         `json:"past_dates"`
	Basis          stage.Basis `json:"basis"`
}

type replaySkill struct {
	Stage          string   `json:"stage"`
	Lead           int      `json:"lead"`
	N              int      `json:"n"`
	Bias           *float64 `json:"bias"`
	MAE            *float64 `json:"mae"`
	CRPS           float64  `json:"crps"`
	CRPSMeanDate   *float64 `json:"crps_mean_date"`
	CRPSRegression *float64 `json:"crps_regression"`
	Skill          *float64 `json:"skill"`
	Coverage80     float64  `json:"coverage80"`
}

type replayMail struct {
	ID      string    `json:"id"`
	At      time.Time `json:"at"`
	Person  string    `json:"person"`
	Kind    string    `json:"kind"`
	Subject string    `json:"subject"`
}

// json gives a season for programs. Lists are there even where they are empty.
func (r replayed) json() replayAnswer {
	out := replayAnswer{
		Programme: r.programme.Code, Year: r.year, From: r.firstDay, To: r.lastDay, Sites: []string{}, Calls: []replayCall{}, Changes: []replayChange{},
		Forecasts: []replayForecast{}, Narrowing: []replayNarrowing{}, Scores: []replayScore{}, Skills: []replaySkill{}, Mails: []replayMail{},
		Reports: []trail.Report{}, Troubles: append([]string{}, r.troubles...),
	}
	for _, s := range r.shown {
		out.Sites = append(out.Sites, s.Code)
		out.Reports = append(out.Reports, r.reports[s.Code]...)
		for _, v := range r.scores[s.Code] {
			out.Scores = append(out.Scores, scoreJSON(s.Code, v))
		}
	}
	for _, t := range r.tellings {
		i := t.Item
		out.Calls = append(out.Calls, replayCall{t.At, t.Letter, t.Person, t.Site, i.Task, i.Standing, i.Reason, i.Days, i.Best, t.Passed})
	}
	for _, c := range r.changes {
		out.Changes = append(out.Changes, replayChange{c.At, c.Site, c.Task, c.Standing, c.Reason, c.Days})
	}
	for _, i := range r.issued {
		out.Forecasts = append(out.Forecasts, replayForecast{i.Site, i.Code.String(), i.On, i.P10, i.P50, i.P90})
	}
	for _, n := range r.narrowed {
		row := replayNarrowing{Site: n.Site, Stage: n.Code.String(), Came: n.Came, Seen: n.Seen, Leads: []replayLead{}}
		for _, l := range n.At {
			if l.Issued != 0 {
				row.Leads = append(row.Leads, replayLead{l.Days, l.Issued, l.P10, l.P50, l.P90})
			}
		}
		out.Narrowing = append(out.Narrowing, row)
	}
	for _, s := range r.skills() {
		out.Skills = append(out.Skills, skillJSON(s))
	}
	for _, m := range r.mails {
		out.Mails = append(out.Mails, replayMail{m.letter.ID, m.letter.At.UTC(), m.person, string(m.letter.Kind), m.subject})
	}
	return out
}

func scoreJSON(site string, s stage.Score) replayScore {
	return replayScore{
		site, s.Code.String(), s.Lead, s.Issued, s.Seen, orNull(s.ErrorDays), s.CRPS, orNull(s.CRPSMeanDate), orNull(s.CRPSRegression),
		s.PIT.Low, s.PIT.High, s.Past, s.Basis,
	}
}

func skillJSON(s stage.Skill) replaySkill {
	out := replaySkill{Stage: s.Code.String(), Lead: s.Lead, N: s.N, CRPS: s.CRPS, Coverage80: s.Inside80}
	if s.Timed > 0 {
		out.Bias, out.MAE = &s.ErrorDays, &s.AbsErrorDays
	}
	if s.Compared > 0 {
		out.CRPSMeanDate, out.CRPSRegression = &s.CRPSMeanDate, &s.CRPSRegression
	}
	if v, ok := s.Skill(); ok {
		out.Skill = &v
	}
	return out
}
