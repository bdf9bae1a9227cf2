package app

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/notice"
	"budcall/internal/postgres"
)

// heldTrouble is the subject under which the board shows that sending is held.
const heldTrouble = "held"

// Hint is what to do while sending is held.
const Hint = "look at `budcall owed`, then say what goes: budcall owed --release --all, or --drop, or line by line"

// holdFirst holds sending where a season is on of which this memory knows
// nothing, and says so as long as it is held.
func (a *App) holdFirst(ctx context.Context) error {
	now, err := a.clock.now(ctx)
	if err != nil {
		return err
	}
	empty, err := a.db.Empty(ctx)
	if err != nil {
		return err
	}
	if empty && !a.clock.simulated && midSeason(a.conf.programme(), now) {
		if _, held, err := a.db.Held(ctx); err != nil {
			return err
		} else if !held {
			if err := a.db.Hold(ctx, postgres.Hold{Since: now, Why: postgres.FirstStart}); err != nil {
				return err
			}
		}
	}
	h, held, err := a.db.Held(ctx)
	if err != nil || !held {
		return err
	}
	found, bad, err := recoverFrom(ctx, a.db, a.opt.State, a.clock, a.engine)
	if err != nil {
		return err
	}
	for _, line := range bad {
		a.log.WarnContext(ctx, "a line of the journal can't be read", "at", line)
	}
	if found != (postgres.Recovered{}) {
		a.log.InfoContext(ctx, "recovered from the journal", "reports", found.Reports, "entries", found.Entries, "letters", found.Letters)
	}
	a.log.WarnContext(ctx, "sending is held", "since", h.Since, "why", h.Why, "what to do", Hint)
	return a.db.Raise(ctx, heldTrouble, "Nothing is sent since "+h.Since.In(a.conf.programme().Zone).Format("2 January 15:04")+": "+because(h)+". To do: "+Hint+".", now)
}

// because says why sending is held.
func because(h postgres.Hold) string {
	if h.Why == postgres.Restored {
		return "a backup was restored, and what people were told since isn't all known"
	}
	return "this is a first start, the season is on, and what was done before isn't known here (budcall report and budcall import enter it)"
}

// midSeason tells whether somewhere things may have been done that we weren't
// told of: the weeks of the survey are over, the season isn't.
func midSeason(p *config.Programme, now time.Time) bool {
	return slices.ContainsFunc(p.Sites, func(s config.Site) bool {
		today := civil.At(now.In(s.Zone))
		return today >= s.Settings.SurveyFrom.In(today.Year())+civil.Date(s.Settings.SurveyDays) && today <= s.Settings.SeasonEnd.In(today.Year())
	})
}

// Verdict is what would become of a thing owed if all were released.
type Verdict string

// The verdicts on what is owed.
const (
	ToTell     Verdict = "to tell"
	Superseded Verdict = "superseded" // something newer is owed about the same call
	Past       Verdict = "past"
)

// OwedThing is a thing owed, and what would become of it.
type OwedThing struct {
	postgres.OwedLine
	Verdict Verdict
}

// OwedLetter is a letter not yet sent, and what would become of it.
type OwedLetter struct {
	postgres.HeldLetter
	Verdict Verdict
}

// OwedList is all that people are still to be told.
type OwedList struct {
	Held    *postgres.Hold // nil: sending isn't held
	Ready   bool           // weather was pulled since, so that the list is today's
	Things  []OwedThing
	Letters []OwedLetter
}

// Owed lists what people are still to be told.
func (b *Beside) Owed(ctx context.Context) (list OwedList, err error) {
	now, err := b.Now(ctx)
	if err != nil {
		return list, err
	}
	h, held, err := b.db.Held(ctx)
	if err != nil {
		return list, err
	}
	if held {
		list.Held = &h
		pulled, err := b.db.DoneSince(ctx, runPull, h.Since)
		if err != nil {
			return list, err
		}
		list.Ready = pulled
	}
	things, err := b.db.Owed(ctx)
	if err != nil {
		return list, err
	}
	for _, t := range things {
		list.Things = append(list.Things, OwedThing{t, judgeThing(t)})
	}
	letters, err := b.db.HeldLetters(ctx)
	for _, l := range letters {
		v := ToTell
		if l.Expires.Before(now) {
			v = Past
		}
		list.Letters = append(list.Letters, OwedLetter{l, v})
	}
	return list, err
}

// judgeThing tells what would become of a thing owed: only the newest about a
// call is told, and only if that is how the call stands.
func judgeThing(l postgres.OwedLine) Verdict {
	switch {
	case !l.Newest:
		return Superseded
	case l.Now != l.Standing:
		return Past
	}
	return ToTell
}

// Sorted is what became of what was owed.
type Sorted struct {
	Released int  `json:"released"`
	Dropped  int  `json:"dropped"`
	Ended    bool `json:"ended"` // sending is no longer held
}

// SortAll releases or drops all that is held, and ends that sending is held.
// Of what is released, what is past or superseded is dropped.
func (b *Beside) SortAll(ctx context.Context, release bool) (out Sorted, err error) {
	list, err := b.Owed(ctx)
	switch {
	case err != nil:
		return out, err
	case list.Held == nil:
		return out, fmt.Errorf("sending isn't held: what is owed goes out by itself")
	case !list.Ready:
		return out, fmt.Errorf("budcall hasn't looked at the weather since sending is held, so that what is owed today isn't known: start it, wait for its first pull, and look at `budcall owed` again")
	}
	var s postgres.Sorting
	for _, t := range list.Things {
		if release && (t.Verdict == ToTell || t.Released) {
			s.Release = append(s.Release, t.ID)
		} else {
			s.Drop = append(s.Drop, t.ID)
		}
	}
	for _, l := range list.Letters {
		switch {
		case l.State != notice.Held:
		case release && l.Verdict == ToTell:
			s.Send = append(s.Send, l.ID)
		default:
			s.Forgo = append(s.Forgo, l.ID)
		}
	}
	s.End = true
	return b.sort(ctx, s)
}

// Sort releases or drops what is named: things owed by number, letters by ID.
func (b *Beside) Sort(ctx context.Context, ids []string, release bool) (out Sorted, err error) {
	list, err := b.Owed(ctx)
	if err != nil {
		return out, err
	}
	if list.Held == nil {
		return out, fmt.Errorf("sending isn't held: what is owed goes out by itself")
	}
	var s postgres.Sorting
	for _, id := range ids {
		if err := list.place(&s, id, release); err != nil {
			return out, err
		}
	}
	return b.sort(ctx, s)
}

// place puts one line where it belongs.
func (l OwedList) place(s *postgres.Sorting, id string, release bool) error {
	number, err := strconv.ParseInt(id, 10, 64)
	if t, ok := find(l.Things, func(t OwedThing) bool { return err == nil && t.ID == number }); ok {
		switch {
		case !release:
			s.Drop = append(s.Drop, number)
		case t.Verdict == Past || t.Verdict == Superseded:
			return fmt.Errorf("%s is %s: people are told only how things stand today; drop it", id, t.Verdict)
		default:
			s.Release = append(s.Release, number)
		}
		return nil
	}
	letter, ok := find(l.Letters, func(h OwedLetter) bool { return h.ID == id })
	switch {
	case !ok || letter.State != notice.Held:
		return fmt.Errorf("nothing that is held has the number %q: `budcall owed` lists what is", id)
	case !release:
		s.Forgo = append(s.Forgo, id)
	case letter.Verdict == Past:
		return fmt.Errorf("%s is past, it was to arrive by %s: drop it", id, letter.Expires.Format(time.RFC3339))
	default:
		s.Send = append(s.Send, id)
	}
	return nil
}

func (b *Beside) sort(ctx context.Context, s postgres.Sorting) (out Sorted, err error) {
	if s.At, err = b.Now(ctx); err != nil {
		return out, err
	}
	s.Then = b.engine().occasion(runReport, "released "+strings.ReplaceAll(s.At.Format(time.RFC3339Nano), ":", ""), s.At, nil)
	if _, err := b.db.Sort(ctx, s); err != nil {
		return out, err
	}
	out = Sorted{Released: len(s.Release) + len(s.Send), Dropped: len(s.Drop) + len(s.Forgo), Ended: s.End}
	if s.End {
		err = b.db.Over(ctx, heldTrouble, s.At)
	}
	return out, err
}

// engine begins runs on this memory; whoever works on it does them.
func (b *Beside) engine() *engine {
	return &engine{db: pgStore{b.db}, programme: func() *config.Programme { return b.programme }}
}
