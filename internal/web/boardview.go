package web

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/trail"
	"budcall/internal/words"
)

// recent is how many told things and reports are shown before the fold.
const recent = 3

// boardView is the board as it is written.
type boardView struct {
	C         *words.Catalogue
	Season    string
	At        string
	Simulated bool
	Trouble   []string
	Sites     []siteView
	Skill     skillView
	Version   string
}

// siteView is one site as it is written.
type siteView struct {
	Code, Name       string
	Facts            []string
	HeatShare        string // of the need, as a width; empty where it isn't known
	Months           []month
	Today            string // where today lies
	Stages           []stageView
	Calls            []callView
	Told, Reports    []string
	OldTold          []string
	OldReports       []string
	MoreTold, MoreRe string
}

// stageView is one stage as it is drawn and said.
type stageView struct {
	Name, Said string
	Scored     string // how good its forecasts were; empty before it is seen
	Bar        *bar   // P10 to P90
	Open       bool   // P90 lies beyond the horizon
	Tick       string // P50
	Seen       string
}

// callView is what is to be done, as it is drawn and said.
type callView struct {
	Name, Said string
	Shape      shape
	Asks       bool
	Bar        *bar
}

func viewBoard(c *words.Catalogue, b Board) boardView {
	v := boardView{
		C: c, Simulated: b.Simulated, Trouble: b.Trouble,
		Season: c.Text(words.BoardSeason, words.Args{"programme": b.Programme, "year": strconv.Itoa(b.Season)}),
		At:     c.Text(words.BoardAt, words.Args{"moment": c.Moment(b.Now)}),
	}
	v.Skill = viewSkill(c, b.Skill)
	bb := boardBuilder{c: c, a: axisOf(b)}
	for _, s := range b.Sites {
		sv := bb.site(s)
		sv.Months, sv.Today = bb.a.months(c), bb.a.mid(civil.At(b.Now))
		v.Sites = append(v.Sites, sv)
	}
	return v
}

// boardBuilder puts the sites of a board together.
type boardBuilder struct {
	c *words.Catalogue
	a axis
}

func (b boardBuilder) site(s BoardSite) siteView {
	v := siteView{Code: s.Code, Name: s.Name, Facts: b.facts(s)}
	if s.NeedCd > 0 {
		v.HeatShare = percent(100 * min(1, max(0, s.HeatCd/s.NeedCd)))
	}
	for _, st := range s.Stages {
		v.Stages = append(v.Stages, b.stage(st))
	}
	for _, c := range s.Calls {
		v.Calls = append(v.Calls, b.call(c, s.Reports))
	}
	var told, said []string
	for _, t := range s.Told {
		told = append(told, b.told(t))
	}
	for _, r := range s.Reports {
		said = append(said, b.c.Text(words.ReportBy, words.Args{"what": saidOn(b.c, r), "person": r.Person}))
	}
	v.Told, v.OldTold, v.MoreTold = b.fold(told)
	v.Reports, v.OldReports, v.MoreRe = b.fold(said)
	return v
}

// fold parts a list into what is shown and what is behind a fold.
func (b boardBuilder) fold(list []string) (shown, rest []string, more string) {
	if len(list) <= recent+1 {
		return list, nil, ""
	}
	return list[:recent], list[recent:], b.c.Text(words.BoardEarlier, words.Args{"n": strconv.Itoa(len(list) - recent)})
}

func (b boardBuilder) facts(s BoardSite) []string {
	out := []string{b.c.Text(words.BoardAltitude, words.Args{"n": b.c.Number(s.AltitudeM)})}
	if s.Reading == 0 {
		out = append(out, b.c.Text(words.BoardNoReading))
	} else {
		out = append(out, b.c.Text(words.BoardReading, words.Args{"mean": b.c.Celsius(s.ReadingC), "day": b.c.Day(s.Reading), "station": s.Station}))
	}
	if s.NeedCd > 0 {
		return append(out, b.c.Text(words.BoardHeat, words.Args{"heat": b.c.Number(s.HeatCd), "need": b.c.Number(s.NeedCd)}))
	}
	return append(out, b.c.Text(words.BoardNoHeat))
}

func (b boardBuilder) stage(s BoardStage) stageView {
	name, known := b.c.StageKnown(int(s.Code))
	if !known && s.Name != "" {
		name = s.Name
	}
	v := stageView{Name: capital(name), Scored: scored(b.c, s.Scores)}
	days := words.Args{"p10": b.c.Date(s.P10), "p50": b.c.Day(s.P50), "p90": b.c.Date(s.P90)}
	switch {
	case s.Seen != 0:
		v.Seen, v.Said = b.a.mid(s.Seen), b.c.Text(words.BoardStageSeen, words.Args{"day": b.c.Day(s.Seen)})
	case s.P10 == 0:
		v.Said = b.c.Text(words.BoardStageAfter)
	case s.P50 == 0:
		v.Said = b.c.Text(words.BoardStageOpen, days)
	case s.P90 == 0:
		v.Said = b.c.Text(words.BoardStageFrom, days)
	default:
		v.Said = b.c.Text(words.BoardStageSpan, days)
	}
	if s.P10 != 0 {
		last := s.P90
		if last == 0 {
			last, v.Open = b.a.last, true
		}
		span := b.a.span(s.P10, last)
		v.Bar = &span
	}
	if s.P50 != 0 {
		v.Tick = b.a.mid(s.P50)
	}
	return v
}

func (b boardBuilder) call(x BoardCall, newestFirst []trail.Report) callView {
	v := callView{Name: b.c.Task(x.Task), Shape: shapeOf(b.c, x.Standing), Asks: x.Standing.Asks()}
	var parts []string
	if x.Days.Len() > 0 && x.Standing != call.Quiet {
		parts = append(parts, b.c.Days(x.Days))
		if !x.Standing.Ended() {
			span := b.a.span(x.Days.First, x.Days.Last)
			v.Bar = &span
		}
	}
	if x.Reason != "" && x.Standing != call.Quiet {
		parts = append(parts, b.c.ReasonFor(x.Task, x.Reason))
	}
	if x.With != "" {
		parts = append(parts, b.c.Text(words.BoardWith, words.Args{"person": x.With}))
	}
	if answer := b.answer(x, newestFirst); answer != "" && !x.Standing.Ended() {
		parts = append(parts, b.c.Text(words.BoardAnswer, words.Args{"answer": answer}))
	}
	v.Said = capital(strings.Join(parts, "; "))
	return v
}

// answer gives the newest answer to a call, in words.
func (b boardBuilder) answer(x BoardCall, newestFirst []trail.Report) string {
	for _, r := range newestFirst {
		if r.Task == string(x.Task) && r.Kind.Answer() {
			return said(b.c, r)
		}
	}
	return x.Answer
}

// mailStates is what became of a mail, by its state in the memory.
var mailStates = map[string]words.Key{
	"":         words.ToldWaiting,
	"waiting":  words.ToldWaiting,
	"held":     words.ToldWaiting,
	"taken":    words.ToldWaiting,
	"dotted":   words.ToldWaiting,
	"sent":     words.ToldSent,
	"refused":  words.ToldRefused,
	"given up": words.ToldGivenUp,
}

func (b boardBuilder) told(t BoardTold) string {
	line := b.c.Text(words.ToldLine, words.Args{
		"at": b.c.Moment(t.At), "person": t.To, "task": b.c.Task(t.Task), "standing": b.c.Standing(t.Standing), "reason": b.c.ReasonFor(t.Task, t.Reason),
	})
	if k, ok := mailStates[t.State]; ok {
		line += " " + b.c.Text(k)
	}
	return line
}

// capital gives s with a capital in front.
func capital(s string) string {
	if s == "" {
		return ""
	}
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}
