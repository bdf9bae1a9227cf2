package web

import (
	"path"
	"strconv"
	"strings"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/link"
	"budcall/internal/words"
)

// settingsView is the page of a site's settings as it is written.
type settingsView struct {
	Title   string
	Alert   string   // what went wrong, the first thing on the page
	AlertDo []string // and what to do
	Status  string   // how a proposal stands
	StatusD []string

	Moved      []diffLine // what was changed meanwhile
	Difference []diffLine // what the proposal changes
	Lines      []string   // what it does
	By         string

	Editing         bool
	Text, Mark, Key string
	Rows            int
	Wrong           bool // the text is to be mended
	All             bool
	Allowed         []string
	AllowedAlso     string
	Change          string // number
	Take            bool   // the button to take it, and that to change it
	TakeHint        string
	Decide          bool // the buttons of the coordinator
	Anew            bool // the button to work on the text again
	Expires         string
	WhyLabel        string
}

// diffLine is a line in which two versions of a file differ.
type diffLine struct {
	Out  bool
	Text string
}

// settingsBuilder puts the page together.
type settingsBuilder struct {
	c     *words.Catalogue
	s     SiteSettings
	claim link.Claim
	key   string
	v     settingsView
}

func (b *settingsBuilder) page() page {
	b.v.Title = b.c.Text(words.SettingsTitle, words.Args{"site": b.s.SiteName})
	b.v.Key = b.key
	b.v.Expires = b.c.Text(words.FormExpires, words.Args{"day": b.c.DayYear(civil.At(b.claim.Expires) - 1), "person": b.s.Person})
	return page{C: b.c, Title: b.v.Title, View: b.v}
}

// edit shows the text to be worked on, and what became of it so far.
func (b *settingsBuilder) edit(e Edit, made Proposal) {
	b.v.Editing, b.v.Text, b.v.Mark, b.v.All = true, e.Text, e.Mark, b.s.All
	b.v.Rows = min(40, max(12, strings.Count(e.Text, "\n")+2))
	switch {
	case made.Stale:
		b.v.Alert, b.v.AlertDo = b.c.Text(words.SettingsStale), []string{b.c.Text(words.SettingsStaleDo)}
		b.v.Moved, b.v.Mark = shownLines(made.Moved), b.s.Mark
	case made.Unchanged:
		b.v.Alert = b.c.Text(words.SettingsUnchanged)
	case len(made.Problems) > 0:
		b.v.Alert, b.v.AlertDo, b.v.Wrong = b.c.Text(words.SettingsProblems), b.problems(made.Problems), true
	}
	for _, a := range b.s.Allowed {
		b.v.Allowed = append(b.v.Allowed, b.c.Text(words.SettingsFree, words.Args{"key": a.Key, "low": a.Low, "high": a.High}))
	}
	if len(b.s.Lines) > 0 {
		b.v.AllowedAlso = b.c.Text(words.SettingsFreeLines, words.Args{"lines": strings.Join(b.s.Lines, ", ")})
	}
}

// problems says what is wrong with a file, line by line. The words for what is
// wrong are the checker's, in English.
func (b *settingsBuilder) problems(list []config.Problem) (lines []string) {
	for _, p := range list {
		said := p
		said.File, said.Line, said.Path = "", 0, config.Setting(p.Path)
		args := words.Args{"line": strconv.Itoa(p.Line), "said": strings.TrimPrefix(said.String(), ": "), "file": path.Base(p.File)}
		switch {
		case p.Line == 0:
			lines = append(lines, args["said"])
		case p.File == "":
			lines = append(lines, b.c.Text(words.SettingsAtLine, args))
		default:
			lines = append(lines, b.c.Text(words.SettingsAtFile, args))
		}
	}
	return lines
}

// proposed shows a proposal, how it stands, and what can be done about it.
func (b *settingsBuilder) proposed(h Hindrance) {
	ch := b.s.Change
	b.v.Change = strconv.FormatInt(ch.ID, 10)
	b.v.Lines, b.v.Difference = ch.Preview.Lines(b.c), shownLines(ch.Difference)
	b.v.By = b.c.Text(words.SettingsBy, words.Args{"name": ch.By, "moment": b.c.Moment(ch.At)})
	b.hindered(h)
	switch ch.Standing {
	case "proposed":
		b.v.Take, b.v.Anew = ch.MayTake, ch.MayTake
		b.v.TakeHint = b.c.Text(words.SettingsAtOnce)
		if b.s.Approval {
			b.v.TakeHint = b.c.Text(words.SettingsAsksFirst)
		}
	case "waiting":
		b.v.Decide = ch.MayDecide
		b.v.Status, b.v.StatusD = b.c.Text(words.SettingsWaits), []string{b.c.Text(words.SettingsWaitsDo)}
	case "accepted":
		b.v.Status = b.c.Text(words.SettingsAcceptedSoon)
		if ch.Written {
			b.v.Status = b.c.Text(words.SettingsAccepted)
		}
	case "refused":
		b.v.Status, b.v.Anew = b.c.Text(words.SettingsRefused), ch.MayTake
		if ch.Why != "" {
			b.v.StatusD = []string{b.c.Text(words.SettingsWhy, words.Args{"why": ch.Why})}
		}
	case "overtaken":
		b.v.Status, b.v.Anew = b.c.Text(words.SettingsOvertaken), ch.MayTake
		b.v.Moved = shownLines(ch.Moved)
	}
	if (ch.Standing == "proposed" || ch.Standing == "waiting") && len(ch.Moved) > 0 {
		b.v.Alert, b.v.AlertDo = b.c.Text(words.SettingsStale), nil
		b.v.Moved, b.v.Take = shownLines(ch.Moved), false
	}
	b.v.WhyLabel = b.c.Text(words.SettingsWord)
}

// hindered says why a decision came to nothing.
func (b *settingsBuilder) hindered(h Hindrance) {
	switch {
	case h.Key == "":
	case len(h.Problems) > 0:
		b.v.Alert, b.v.AlertDo = b.c.Text(h.Key), b.problems(h.Problems)
	case h.Key == words.SettingsFolder:
		b.v.Alert, b.v.AlertDo = b.c.Text(h.Key), []string{b.c.Text(words.SettingsFolderDo, words.Args{"said": h.Said})}
	default:
		b.v.Alert = b.c.Text(h.Key)
	}
}

func shownLines(lines []config.Line) (out []diffLine) {
	for _, l := range lines {
		out = append(out, diffLine{Out: l.Out, Text: l.Text})
	}
	return out
}
