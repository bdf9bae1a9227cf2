package notice

import (
	"strings"

	"budcall/internal/call"
	"budcall/internal/words"
)

// item is one item of a letter being written.
type item struct {
	writer
	Item
}

func (i item) site() string {
	if i.SiteName == "" {
		return i.Site
	}
	return i.SiteName
}

func (i item) passed() bool { return i.Passed != nil || i.Kind == Passed }

// outdoors tells whether the item sends somebody to the trees now.
func (it Item) outdoors() bool {
	switch it.Task {
	case call.SendKit, call.LotExpected, call.ShortSeason:
		return false
	}
	return it.Standing.Asks() && !it.Reason.Raised()
}

// blocks is the item from what and when to why. Where nothing is asked any
// more it says that and no more.
func (i item) blocks() []block {
	said := make([]string, 0, 2)
	for _, k := range i.labels() {
		said = append(said, i.c.Text(k))
	}
	blocks := []block{
		{Shape: label, Lines: []string{strings.Join(said, " · ")}},
		{Shape: title, Lines: []string{i.c.TaskAt(i.Task, i.site())}},
	}
	if i.Reason.Raised() {
		return append(blocks, i.about()...)
	}
	if i.Standing.Ended() {
		blocks = append(blocks, block{Shape: note, Lines: i.ending()})
		return append(blocks, i.answer()...)
	}
	for _, part := range [][]block{i.notes(), i.when(), i.look(), i.trees(), i.answer(), i.byMail(), i.story()} {
		blocks = append(blocks, part...)
	}
	return append(blocks, block{Shape: list, Head: i.c.Text(words.FactWhy), Lines: i.why()})
}

// about says what was reported that the coordinator is asked about, and who
// can be rung.
func (i item) about() []block {
	k := words.NoteProblem
	switch i.Reason {
	case call.ReportsDiffer:
		k = words.NoteDiffer
	case call.PacketsDiffer:
		k = words.NotePackets
	case call.ReportedEarly:
		k = words.NoteEarly
	}
	blocks := []block{{Shape: note, Lines: []string{i.c.Text(k)}}}
	var people []person
	for _, s := range i.Said {
		who := i.person(s.By)
		who.Said = i.c.Text(words.SaidBy, words.Args{"who": who.Said, "what": i.c.ReportOn(s.Report)})
		people = append(people, who)
	}
	blocks = append(blocks, block{Shape: phones, Head: i.c.Text(words.FactSaid), People: people})
	return append(blocks, i.answer()...)
}

// ending says why nothing is asked any more.
func (i item) ending() []string {
	because := words.Args{"reason": i.c.ReasonFor(i.Task, i.Reason)}
	switch i.Standing {
	case call.Done:
		return []string{i.c.Text(words.NoteDone, because)}
	case call.NotNeeded:
		return []string{i.c.Text(words.NoteNotNeeded, because)}
	}
	lines := []string{i.c.Text(words.NoteTooLate, because)}
	switch i.Task {
	case call.BagOn:
		lines = append(lines, i.c.Text(words.NoteBudsClosed))
	case call.PickSeed:
		lines = append(lines, i.c.Text(words.NoteSeedHolds))
	}
	return lines
}

// notes says what is special about being told now.
func (i item) notes() []block {
	var lines []string
	because := words.Args{"reason": i.c.ReasonFor(i.Task, i.Reason)}
	switch {
	case i.Reason == call.NobodyElseKnown:
		lines = append(lines, i.c.Text(words.NoteNobody))
	case i.passed():
		lines = append(lines, i.c.Text(words.NotePassed, because))
	case i.Reason == call.PromisePast:
		lines = append(lines, i.c.Text(words.NotePromise))
	case i.Reason == call.DaysMoved:
		lines = append(lines, i.c.Text(words.NoteMoved))
	case i.Replaces:
		lines = append(lines, i.c.Text(words.NoteReplace))
	case i.Reason == call.StillClosed, i.Reason == call.SeenBrown,
		i.Reason == call.LookHelps, i.Reason == call.StationSilent, i.Reason == call.StrongWind, i.Reason == call.LookDue,
		i.Reason == call.SeedLikely, i.Reason == call.SeedInDoubt:
		lines = append(lines, i.c.Text(words.NoteBecause, because))
	}
	if i.Standing == call.Ahead {
		k := words.NotePlan
		if i.Days.First <= i.Today+1 { // it may be tonight, or in a week
			k = words.NotePlanNear
		}
		lines = append(lines, i.c.Text(k))
	}
	if len(lines) == 0 {
		return nil
	}
	return []block{{Shape: note, Lines: lines}}
}

// when says the days told, those of them that suit the person, and the best;
// and where.
func (i item) when() []block {
	blocks := []block{}
	if lines := i.days(); len(lines) > 0 {
		blocks = append(blocks, block{Shape: fact, Head: i.c.Text(words.FactWhen), Lines: lines})
	}
	if i.Site != "" && i.Site != i.SiteName {
		where := i.c.Text(words.WhereSite, words.Args{"site": i.site(), "code": i.Site})
		blocks = append(blocks, block{Shape: fact, Head: i.c.Text(words.FactWhere), Lines: []string{where}})
	}
	return blocks
}

func (i item) days() []string {
	if i.Days.Len() == 0 {
		return nil
	}
	last := words.Args{"day": i.c.Day(i.Days.Last)}
	switch {
	case i.Task == call.ShortSeason:
		return []string{i.c.Text(words.WhenShort, last)}
	case i.Task == call.LotExpected && i.overdue():
		return []string{i.c.Text(words.WhenLotPast, last)}
	case i.Task == call.LotExpected:
		return []string{i.c.Text(words.WhenLot, last)}
	case i.Task == call.SendKit && i.overdue():
		return []string{i.c.Text(words.WhenKitPast, last)}
	case i.Task == call.SendKit:
		return []string{i.c.Text(words.WhenKit, last)}
	case i.Standing == call.LookFirst:
		return []string{i.c.Text(words.WhenSafePast, last)}
	case i.overdue():
		return []string{i.c.Text(words.WhenPast, last)}
	}
	days := words.Args{"days": i.c.Days(i.Days)}
	said := []string{i.c.Text(words.WhenDays, days)}
	switch {
	case i.Standing == call.Ahead:
		said[0] = i.c.Text(words.WhenProbably, days)
	case i.Days.First < i.Today && i.Days.Len() > 1:
		said[0] = i.c.Text(words.WhenUntil, last)
	}
	possible := i.possible()
	if len(possible) > 0 && len(possible) < i.Days.Len() {
		said = append(said, i.c.Text(words.WhenYours, words.Args{"days": i.c.AnyOf(possible)}))
	}
	if i.weighs() && i.Best >= i.Today && i.Days.Has(i.Best) && i.Days.Len() > 1 {
		said = append(said, i.c.Text(words.WhenBest, words.Args{"day": i.c.Day(i.Best)}))
	}
	return said
}

// weighs tells whether going early is weighed against going late, so that one
// day is the best.
func (it Item) weighs() bool { return it.Task == call.BagOn || it.Task == call.PickSeed }

// look says how to judge each tree once the last day is past.
func (i item) look() []block {
	if i.Standing != call.LookFirst {
		return nil
	}
	k := words.LookBuds
	if i.Task == call.PickSeed {
		k = words.LookSeed
	}
	return []block{{Shape: list, Head: i.c.Text(words.FactLook), Lines: i.c.Lines(k)}}
}

// answer is the link, with what it is good for.
func (i item) answer() []block {
	if i.Link == "" || !i.Reason.Raised() && (i.Standing == call.Done || i.Standing == call.NotNeeded) {
		return nil
	}
	good := words.AnswerTask
	switch {
	case i.Task == call.LotExpected:
		good = words.AnswerLots
	case i.Reason.Raised():
		good = words.AnswerLook
	case i.Standing.Ended():
		good = words.AnswerLook
	case i.Task == call.ShortSeason, i.Task == call.SendKit:
		good = words.AnswerSeen
	}
	lines := []string{i.c.Text(good)}
	if !i.Expires.IsZero() {
		lines = append(lines, i.c.Text(words.AnswerUntil, words.Args{"day": i.c.Day(i.Expires)}))
	}
	return []block{{Shape: button, Head: i.c.Text(words.ButtonAnswer), Lines: []string{strings.Join(lines, " ")}, URL: i.Link}}
}

// story says who was asked before, when, and by which number to ring them.
func (i item) story() []block {
	if i.Passed == nil || len(i.Passed.From) == 0 {
		return nil
	}
	var people []person
	for n, p := range i.Passed.From {
		who := i.person(p)
		if n < len(i.Passed.AskedAt) {
			moment := i.c.Moment(i.Passed.AskedAt[n].In(i.At.Location()))
			who.Said = i.c.Text(words.AskedOn, words.Args{"who": who.Said, "moment": moment})
		}
		people = append(people, who)
	}
	b := block{Shape: phones, Head: i.c.Text(words.FactAsked), People: people}
	if i.Reason != call.NobodyElseKnown {
		b.Lines = []string{i.c.Text(words.NoteRingFirst)}
	}
	return []block{b}
}
