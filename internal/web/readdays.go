package web

import (
	"strconv"
	"time"

	"budcall/internal/civil"
	"budcall/internal/stage"
	"budcall/internal/trail"
	"budcall/internal/words"
)

// readDay reads the day that the reports are about: today where none is given,
// never a day to come, never before the year of the season.
func (r *reading) readDay() {
	r.day = r.form.Today
	v := r.value(fieldDay)
	if v == "" {
		return
	}
	d, ok := r.date(fieldDay, v)
	switch {
	case !ok:
	case d > r.form.Today:
		r.wrong(fieldDay, words.ProblemFuture, r.today())
	case d < civil.Of(r.form.year(), time.January, 1):
		r.wrong(fieldDay, words.ProblemSeason, r.season())
	default:
		r.day = d
	}
}

// readStages reads what was seen at the site, and refuses that a later stage
// was seen of which an earlier one of the same series was not.
func (r *reading) readStages() {
	list := stagesOf[r.form.Item.Task]
	for _, s := range list {
		field := stageField(s)
		switch r.value(field) {
		case "":
		case valueYes:
			r.stages[int(s)] = true
			r.say(trail.Report{Kind: trail.StageSeen, BBCH: int(s)})
		case valueNo:
			r.stages[int(s)] = false
			r.say(trail.Report{Kind: trail.NotYet, BBCH: int(s)})
		default:
			r.wrong(field, words.ProblemChoice, nil)
		}
	}
	for i, earlier := range list {
		for _, later := range list[i+1:] {
			r.refuseOrder(earlier, later)
		}
	}
}

// refuseOrder compares two stages. Leaves (below 60) and flowers run side by
// side, so that one says nothing of the other; but before buds swell nothing
// flowers.
func (r *reading) refuseOrder(earlier, later stage.BBCH) {
	if (earlier < stage.Flowering) != (later < stage.Flowering) && earlier != stage.BudSwelling {
		return
	}
	seen, said := r.stages[int(earlier)]
	if said && !seen && r.stages[int(later)] {
		r.wrong(stageField(earlier), words.ProblemStages, words.Args{
			"earlier": words.For(r.form.Lang).Stage(int(earlier)), "later": words.For(r.form.Lang).Stage(int(later)),
		})
	}
}

// readAnswer reads whether the person goes, and when. Another day that is
// filled in counts even where its choice was not ticked.
func (r *reading) readAnswer() {
	answer, other := r.value(fieldAnswer), r.value(fieldOtherDay)
	if answer == "" && other != "" {
		answer = valueOther
	}
	if answer == "" && r.value(fieldAwayFrom)+r.value(fieldAwayUntil) != "" {
		answer = valueAway
	}
	if answer != valueAway && r.value(fieldAwayFrom)+r.value(fieldAwayUntil) != "" {
		r.wrong(fieldAwayFrom, words.ProblemTwoAnswers, nil)
		return
	}
	switch answer {
	case "":
	case valueOther:
		if other == "" {
			r.wrong(fieldOtherDay, words.ProblemOtherDay, nil)
			return
		}
		r.goingOn(fieldOtherDay, other)
	case valueAway:
		if r.alone(other) {
			r.readAway()
		}
	case valueUnsafe, valueNoPermit:
		if r.alone(other) {
			kind := trail.Unsafe
			if answer == valueNoPermit {
				kind = trail.NoPermission
			}
			r.say(trail.Report{Kind: kind, Day: r.form.Today})
		}
	case valueCannot:
		if r.alone(other) {
			r.say(trail.Report{Kind: trail.CannotGo, Day: r.form.Today})
		}
	default:
		if r.alone(other) {
			r.goingOn(fieldAnswer, answer)
		}
	}
}

// alone refuses another day beside a choice that says something else.
func (r *reading) alone(other string) bool {
	if other == "" {
		return true
	}
	r.wrong(fieldOtherDay, words.ProblemTwoAnswers, nil)
	return false
}

func (r *reading) goingOn(field, v string) {
	d, ok := r.date(field, v)
	switch {
	case !ok:
	case d < r.form.Today:
		r.wrong(field, words.ProblemPast, r.today())
	case d.Year() > r.form.year():
		r.wrong(field, words.ProblemFar, r.season())
	default:
		r.say(trail.Report{Kind: trail.Going, Day: r.form.Today, On: d})
	}
}

func (r *reading) date(field, v string) (civil.Date, bool) {
	d, err := civil.Parse(v)
	if err != nil {
		r.wrong(field, words.ProblemDate, words.Args{"example": r.form.Today.String()})
		return 0, false
	}
	return d, true
}

func (r *reading) today() words.Args {
	return words.Args{"today": words.For(r.form.Lang).DayYear(r.form.Today)}
}

func (r *reading) season() words.Args {
	return words.Args{"year": strconv.Itoa(r.form.year())}
}
