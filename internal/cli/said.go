package cli

import (
	"strconv"
	"strings"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// said turns the options of report into the one thing that was said.
func (r *reportFlags) said() (s app.Said, err error) {
	if r.site == "" || r.person == "" {
		return s, misused("who reports, and from where? Give --site CODE and --person CODE")
	}
	s = app.Said{Site: r.site, Person: r.person, Selfing: max(0, r.selfing), Control: max(0, r.control)}
	if s.Kind, err = r.kind(); err != nil {
		return s, err
	}
	if r.call != "" {
		if s.Task, err = parseTask(r.call); err != nil {
			return s, err
		}
	}
	s.Count, s.Note = r.catkinCount, strings.TrimSpace(r.problem)
	if s.Until, err = parseDay("until", r.until); err != nil {
		return s, err
	}
	if s.Day, err = parseDay("day", r.day); err != nil {
		return s, err
	}
	if s.On, err = parseDay("going", r.going); err != nil {
		return s, err
	}
	if r.away != "" {
		if s.On, err = parseDay("away", r.away); err != nil {
			return s, err
		}
		if s.Until == 0 {
			s.Until = s.On
		}
	}
	for short := range strings.SplitSeq(r.trees, ",") {
		if short = strings.TrimSpace(short); short != "" {
			s.Trees = append(s.Trees, short)
		}
	}
	s.BBCH, err = parseStage(r.seen + r.notYet)
	if err == nil {
		err = r.fits(s)
	}
	return s, err
}

// kind finds what is reported: bags on where only numbers are given.
func (r *reportFlags) kind() (trail.Kind, error) {
	var kinds []trail.Kind
	var given []string
	for _, k := range []struct {
		is   bool
		name string
		kind trail.Kind
	}{
		{r.seen != "", "--seen", trail.StageSeen}, {r.notYet != "", "--not-yet", trail.NotYet}, {r.off, "--off", trail.BagsOff},
		{r.picked, "--picked", trail.Picked}, {r.nothing, "--nothing", trail.NothingToPick}, {r.brown, "--brown", trail.SeedBrown},
		{r.green, "--green", trail.SeedGreen}, {r.kitArrived, "--kit-arrived", trail.KitArrived}, {r.understood, "--understood", trail.Understood},
		{r.going != "", "--going", trail.Going}, {r.cant, "--cant", trail.CannotGo},
		{r.catkins, "--catkins", trail.CatkinsSeen}, {r.noCatkins, "--no-catkins", trail.NoCatkins}, {r.fine, "--fine", trail.BagsFine},
		{r.torn, "--torn", trail.BagsTorn}, {r.received, "--received", trail.LotReceived}, {r.problem != "", "--problem", trail.Problem},
		{r.away != "", "--away", trail.Away}, {r.unsafe, "--unsafe", trail.Unsafe}, {r.noPermission, "--no-permission", trail.NoPermission},
	} {
		if k.is {
			kinds, given = append(kinds, k.kind), append(given, k.name)
		}
	}
	switch {
	case len(kinds) > 1:
		return "", misused("%s are different things: report them one after the other", strings.Join(given, " and "))
	case len(kinds) == 1:
		return kinds[0], nil
	case r.selfing >= 0 || r.control >= 0:
		return trail.BagsOn, nil
	}
	return "", misused("what is reported? Give for example --tree T1 --selfing 2 --control 1, --not-yet 07, --off or --going DAY")
}

// fits refuses options that say nothing beside the kind, lest they are taken
// for stored.
func (r *reportFlags) fits(s app.Said) error {
	counts := r.selfing >= 0 || r.control >= 0
	switch {
	case r.until != "" && s.Kind != trail.Away:
		return misused("--until is the last day of --away")
	case r.catkinCount != 0 && (s.Kind != trail.CatkinsSeen || len(s.Trees) != 1 || r.catkinCount < 0):
		return misused("--count is the catkins on one tree: give --catkins --tree T1 --count N")
	}
	switch s.Kind {
	case trail.BagsOn, trail.Picked:
		switch {
		case len(s.Trees) == 0:
			return misused("on which tree? Give --tree T1")
		case r.selfing < 0 || r.control < 0:
			return misused("give both --selfing N and --control N, 0 for none: they are all that is on the tree")
		case s.Kind == trail.Picked && s.Selfing+s.Control == 0:
			return misused("no packet was picked: say --nothing instead of --picked")
		}
		return nil
	case trail.BagsTorn:
		if len(s.Trees) == 0 {
			return misused("on which tree? Give --tree T1")
		}
		return nil
	case trail.BagsOff, trail.NothingToPick, trail.CatkinsSeen, trail.NoCatkins, trail.BagsFine, trail.LotReceived, trail.StageSeen, trail.NotYet:
	default:
		if len(s.Trees) > 0 {
			return misused("--tree doesn't belong to %q, which is said of the site as a whole", string(s.Kind))
		}
	}
	if counts {
		return misused("--selfing and --control don't belong to %q: report bags put on, or --picked, by a command of their own", string(s.Kind))
	}
	if r.day != "" && s.Kind.Answer() {
		return misused("--day doesn't belong to an answer; --going says on which day somebody goes")
	}
	return nil
}

func parseDay(option, text string) (civil.Date, error) {
	if text == "" {
		return 0, nil
	}
	d, err := civil.Parse(text)
	if err != nil {
		return 0, misused("--%s: %v", option, err)
	}
	return d, nil
}

func parseStage(text string) (stage.BBCH, error) {
	if text == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 || n > 99 {
		return 0, misused("%q is no stage: give a BBCH code, such as 07 for bud break or 60 for flowering", text)
	}
	return stage.BBCH(n), nil
}
