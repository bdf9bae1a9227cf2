package notice

import (
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/words"
)

// subject says the most pressing item, and how many more there are.
func (w writer) subject() string {
	switch {
	case w.Kind == Ops:
		return w.c.Count(words.SubjectOps, len(w.Trouble), w.names())
	case w.Week != nil:
		return w.weekSubject()
	case w.Change != nil:
		return w.settingsSubject()
	case w.Reply != nil:
		return w.c.Text(map[Kind]words.Key{Receipt: words.ReplySubjectReceipt, Tap: words.ReplySubjectTap, Unread: words.ReplySubjectUnread}[w.Reply.For])
	case w.Kind == Test || len(w.Items) == 0:
		return w.c.Text(words.SubjectTest, w.names())
	}
	first := item{w, w.Items[0]}.subject()
	if more := len(w.Items) - 1; more > 0 {
		return w.c.Count(words.SubjectMore, more, words.Args{"subject": first})
	}
	return first
}

// subject says one item: "Bag on at Kolmivaara: Sat 3 or Sun 4 May", or with
// how it stands before it.
func (i item) subject() string {
	args := words.Args{"days": i.daysSaid(), "label": i.c.Text(i.labels()[0])}
	form, alone := words.SubjectLabelAt, words.SubjectLabel
	args["task"] = i.c.TaskWithin(i.Task, i.site())
	if i.Reason.Raised() {
		args["days"] = ""
	}
	plain := i.labels()[0] == words.LabelGo || i.labels()[0] == words.LabelSend || i.labels()[0] == words.LabelDecide
	switch {
	case plain && i.until():
		form, alone = words.SubjectBy, words.SubjectAlone
	case plain:
		form, alone = words.SubjectGo, words.SubjectAlone
	case i.until():
		form = words.SubjectLabelBy
	}
	if plain {
		args["task"] = i.c.TaskAt(i.Task, i.site())
	}
	if args["days"] == "" {
		form = alone
	}
	return i.c.Text(form, args)
}

// labels says how an item stands and how it came here, the more telling first.
func (i item) labels() []words.Key {
	standing := i.standing()
	switch {
	case i.Reason == call.ReportsDiffer:
		return []words.Key{words.LabelDiffer}
	case i.Reason == call.ReportedEarly:
		return []words.Key{words.LabelEarly}
	case i.Reason == call.PacketsDiffer:
		return []words.Key{words.LabelPackets}
	case i.Reason == call.ProblemReported:
		return []words.Key{words.LabelProblem}
	case i.Reason == call.NobodyElseKnown:
		return []words.Key{words.LabelNobody, standing}
	case i.passed() && standing == words.LabelGo:
		return []words.Key{words.LabelPassed}
	case i.passed():
		return []words.Key{words.LabelPassed, standing}
	case i.Reason == call.PromisePast:
		return []words.Key{words.LabelPromise, standing}
	case i.Reason == call.DaysMoved:
		return []words.Key{words.LabelMoved, standing}
	}
	return []words.Key{standing}
}

// standing is the words for how an item stands.
func (i item) standing() words.Key {
	switch {
	case i.Task == call.ShortSeason && i.Standing.Asks():
		return words.LabelDecide
	case i.Task == call.SendKit && i.Standing == call.Go:
		return words.LabelSend
	case i.Task == call.LotExpected && i.Standing == call.Go:
		return words.LabelExpected
	case i.Replaces && i.Standing == call.Go:
		return words.LabelReplace
	case i.Standing == call.Hurry && i.overdue():
		return words.LabelOverdue
	}
	switch i.Standing {
	case call.Go:
		return words.LabelGo
	case call.Hurry:
		return words.LabelHurry
	case call.LookFirst:
		return words.LabelLookFirst
	case call.TooLate:
		return words.LabelTooLate
	case call.Done:
		return words.LabelDone
	case call.NotNeeded:
		return words.LabelNotNeeded
	}
	return words.LabelAhead
}

// overdue tells whether the last day is past.
func (i item) overdue() bool { return i.Days.Len() > 0 && i.Today > i.Days.Last }

// daysSaid gives the days in a few words: those on which the person can go,
// where some are known; empty where days would say nothing.
func (i item) daysSaid() string {
	switch {
	case i.Days.Len() == 0, i.Standing.Ended(), i.overdue(), i.Standing == call.LookFirst, i.Task == call.ShortSeason:
		return ""
	case i.until():
		return i.c.Text(words.DaysBy, words.Args{"day": i.c.Day(i.Days.Last)})
	case i.fewDays():
		return i.c.AnyOf(i.possible())
	}
	return i.c.Days(i.Days)
}

// until tells whether the days are said by their last one alone: the kit has a
// day to leave by, and days that have begun only have an end.
func (i item) until() bool {
	begun := i.Days.First < i.Today && i.Days.Len() > 1
	return i.Task == call.SendKit || i.Task == call.LotExpected || begun && !i.fewDays()
}

// fewDays tells whether the days on which the person can go are fewer than
// those told, and few enough to be named one by one.
func (i item) fewDays() bool {
	n := len(i.possible())
	return n > 0 && n < i.Days.Len() && n <= 4
}

// possible is the days, from today on, on which the person can go.
func (i item) possible() []civil.Date {
	var days []civil.Date
	for _, d := range i.CanGo {
		if d >= i.Today && i.Days.Has(d) {
			days = append(days, d)
		}
	}
	return days
}
