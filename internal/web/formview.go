package web

import (
	"net/url"
	"strings"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/words"
)

// formView is a form as it is written.
type formView struct {
	C             *words.Catalogue
	Title         string
	Stored, Again bool
	Asked, Days   string
	Standing      shape
	Ended         string
	Known         []string
	Problems      []shownProblem
	Answer        []choice
	AnswerHead    string
	OtherDay      field
	AwayFrom      field
	AwayUntil     field
	ProblemText   field
	Photos        field
	PhotosOut     []string // what is said of photos that were kept out
	Stages        []stageRow
	Trees, Others []treeRow
	TreesHead     string
	TreesHint     string
	All           choice
	Nothing       choice
	Single        []choice // of the tasks that only ask one thing
	SingleHead    string
	Day           field
	FirstDay      string
	LastGoDay     string
	Today         string
	Key           string
	Expires       string
}

// shownProblem is a problem as it is written.
type shownProblem struct {
	At   string // id of the field to mend, empty for the form as a whole
	Text string
}

// field is one input and what is wrong with it.
type field struct {
	Name, Label, Value string
	Wrong              string
}

// ID gives the field's id in the page.
func (f field) ID() string { return "f-" + f.Name }

// choice is one thing to tick.
type choice struct {
	field
	Option  string // the value that it stands for
	Checked bool
	Other   bool // the choice that goes with a day of one's own
	Away    bool // the choice that goes with two days
}

// ID gives the id of the choice in the page.
func (c choice) ID() string { return "f-" + c.Name + "-" + strings.ReplaceAll(c.Option, " ", "_") }

// stageRow is one stage to say something of.
type stageRow struct {
	Name    string
	Wrong   string
	Field   string
	Options []choice
}

// treeRow is one tree to say something of.
type treeRow struct {
	Name, Hint string
	Field      string // of Options
	Options    []choice
	Wrong      string
	Counts     []field
	Ticks      []choice
}

// viewForm gives the form as it is written, with what was filled in and what
// is wrong with it.
func viewForm(f Form, in url.Values, problems []problem) formView {
	b := formBuilder{c: words.For(f.Lang), f: f, in: in, wrong: map[string]string{}}
	v := formView{C: b.c, Title: b.c.TaskAt(f.Item.Task, f.SiteName), Key: in.Get(fieldKey)}
	for _, p := range problems {
		text := b.c.Text(p.Key, p.Args)
		if p.Field != "" {
			b.wrong[p.Field] = text
		}
		v.Problems = append(v.Problems, shownProblem{At: b.anchor(p.Field), Text: b.summed(p.Field, text)})
	}
	b.head(&v)
	b.answers(&v)
	b.stages(&v)
	b.trees(&v)
	b.single(&v)
	v.ProblemText = b.field(fieldProblem, b.c.Text(words.FormProblem))
	v.Photos = b.field(fieldPhotos, b.c.Text(words.FormPhotos))
	v.Day = b.field(fieldDay, b.c.Text(words.FormDay))
	if v.Day.Value == "" {
		v.Day.Value = f.Today.String()
	}
	v.FirstDay, v.Today = civil.Of(f.year(), time.January, 1).String(), f.Today.String()
	v.LastGoDay = civil.Of(f.year(), time.December, 31).String()
	return v
}

// formBuilder puts a form together.
type formBuilder struct {
	c     *words.Catalogue
	f     Form
	in    url.Values
	wrong map[string]string
}

// field gives an input with what was filled in.
func (b formBuilder) field(name, label string) field {
	return field{Name: name, Label: label, Value: b.in.Get(name), Wrong: b.wrong[name]}
}

// tick gives a choice, ticked if it was.
func (b formBuilder) tick(name, option, label string) choice {
	return choice{field: b.field(name, label), Option: option, Checked: b.in.Get(name) == option}
}

// anchor gives the id to jump to for mending a field.
func (b formBuilder) anchor(name string) string {
	switch kind, _, _ := strings.Cut(name, "."); kind {
	case "":
		return ""
	case fieldTorn, fieldCatkins:
		return "g-" + name
	case fieldBare, fieldFine, fieldGot, fieldGreenTip:
		return "g-" + name
	case fieldAnswer, fieldSeen, fieldSeed, fieldKit, fieldNoted, fieldAll, fieldNothing, fieldOff, fieldNone:
		return "g-" + name
	}
	return "f-" + name
}

func (b formBuilder) head(v *formView) {
	it := b.f.Item
	v.Asked = b.c.Text(words.FormAsked, words.Args{"person": b.f.Person})
	v.Standing = shapeOf(b.c, it.Standing)
	if it.Days.Len() > 0 {
		v.Days = b.c.Text(words.FormDays, words.Args{"days": b.c.Days(it.Days)})
	}
	if it.Standing.Ended() {
		v.Ended = b.c.Text(words.FormEnded, words.Args{"reason": b.c.ReasonFor(it.Task, it.Reason)})
	}
	for _, r := range counting(b.f.Reports) {
		v.Known = append(v.Known, saidOn(b.c, r))
	}
	if b.f.Photos > 0 {
		v.Known = append(v.Known, b.c.Count(words.ReplyPhotos, b.f.Photos))
	}
	day := b.c.DayYear(civil.At(b.f.Claim.Expires))
	v.Expires = b.c.Text(words.FormExpires, words.Args{"day": day, "person": b.f.Person})
}

func (b formBuilder) answers(v *formView) {
	v.AnswerHead = b.c.Text(words.FormAnswer)
	switch b.f.Item.Task {
	case call.SendKit:
		v.AnswerHead = b.c.Text(words.FormAnswerKit)
	case call.ShortSeason, call.LotExpected:
		v.AnswerHead = b.c.Text(words.FormAnswerShort)
	}
	v.Answer = append(v.Answer, b.tick(fieldAnswer, "", b.c.Text(words.FormNoAnswer)))
	if b.f.Item.Task != call.LotExpected { // nobody goes anywhere: the packets come
		b.goingOn(v)
	}
	v.Answer = append(v.Answer, b.tick(fieldAnswer, valueCannot, b.c.Text(words.FormCannot)))
	away := b.tick(fieldAnswer, valueAway, b.c.Text(words.FormAway))
	away.Away = true
	v.Answer = append(v.Answer, away)
	if t := b.f.Item.Task; t != call.SendKit && t != call.ShortSeason && t != call.LotExpected {
		v.Answer = append(v.Answer, b.tick(fieldAnswer, valueUnsafe, b.c.Text(words.FormUnsafe)), b.tick(fieldAnswer, valueNoPermit, b.c.Text(words.FormNoPermission)))
	}
	v.AwayFrom, v.AwayUntil = b.field(fieldAwayFrom, b.c.Text(words.FormAwayFrom)), b.field(fieldAwayUntil, b.c.Text(words.FormAwayUntil))
}

// goingOn offers the days on which one can go.
func (b formBuilder) goingOn(v *formView) {
	for _, d := range b.f.choices() {
		label := b.c.Text(words.FormGoing, words.Args{"day": b.c.Day(d)})
		if d == b.f.Item.Best {
			label += " " + b.c.Text(words.FormBest)
		}
		v.Answer = append(v.Answer, b.tick(fieldAnswer, d.String(), label))
	}
	other := b.tick(fieldAnswer, valueOther, b.c.Text(words.FormGoingOther))
	other.Other = true
	v.Answer = append(v.Answer, other)
	v.OtherDay = b.field(fieldOtherDay, b.c.Text(words.FormOtherDay))
}

func (b formBuilder) stages(v *formView) {
	for _, s := range stagesOf[b.f.Item.Task] {
		name := stageField(s)
		v.Stages = append(v.Stages, stageRow{
			Name: b.c.Stage(int(s)), Field: name, Wrong: b.wrong[name],
			Options: []choice{
				b.tick(name, "", b.c.Text(words.FormNoWord)),
				b.tick(name, valueNo, b.c.Text(words.FormNotYet)),
				b.tick(name, valueYes, b.c.Text(words.FormSeen)),
			},
		})
	}
}

func (b formBuilder) single(v *formView) {
	switch b.f.Item.Task {
	case call.LookAtSeed:
		v.SingleHead = b.c.Text(words.FormSeed)
		v.Single = []choice{
			b.tick(fieldSeed, "", b.c.Text(words.FormNoWord)),
			b.tick(fieldSeed, valueGreen, b.c.Text(words.FormSeedGreen)),
			b.tick(fieldSeed, valueBrown, b.c.Text(words.FormSeedBrown)),
		}
	case call.SendKit:
		v.SingleHead = b.c.Text(words.FormKit)
		v.Single = []choice{b.tick(fieldKit, valueYes, b.c.Text(words.FormKitArrived))}
	case call.ShortSeason:
		v.SingleHead = b.c.Text(words.FormShort)
		v.Single = []choice{b.tick(fieldNoted, valueYes, b.c.Text(words.FormUnderstood))}
	}
}

// AwayDays is the two days that go with an absence.
func (v formView) AwayDays() []field { return []field{v.AwayFrom, v.AwayUntil} }

// Radio reports whether the single things exclude each other.
func (v formView) Radio() bool { return len(v.Single) > 1 }
