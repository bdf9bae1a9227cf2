package app

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/link"
	"budcall/internal/postgres"
	"budcall/internal/season"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// Said is what somebody reports otherwise than by a form: one kind of thing,
// of one or more trees or of the site.
type Said struct {
	Site, Person string
	Task         call.Task // empty: the one that the kind belongs to, or that is asked for now
	Kind         trail.Kind
	Trees        []string   // short names; empty: the site as a whole
	BBCH         stage.BBCH // of StageSeen and NotYet
	Selfing      int
	Control      int
	Day          civil.Date // when it was seen or done; zero: today at the site
	On           civil.Date // the day promised in Going, the first of Away
	Until        civil.Date // the last day of Away
	Count        int        // catkins, of CatkinsSeen; 0: not counted
	Note         string     // of Problem
}

// Report checks and stores what somebody said, as the form does. The same
// thing said again is stored once: then stored is false.
func (b *Beside) Report(ctx context.Context, s Said) (reports []trail.Report, stored bool, err error) {
	site, err := b.site(s.Site)
	if err != nil {
		return nil, false, err
	}
	if _, err := person(b.programme, s.Person); err != nil {
		return nil, false, err
	}
	now, err := b.Now(ctx)
	if err != nil {
		return nil, false, err
	}
	today := civil.At(now.In(site.Zone))
	var known []trail.Report
	var calls map[call.Task]season.State
	if err := b.db.Read(ctx, func(book *postgres.Book) (err error) {
		if known, err = book.Reports(ctx, s.Site, today.Year()); err == nil {
			calls, err = book.Calls(ctx, s.Site, today.Year())
		}
		return err
	}); err != nil {
		return nil, false, err
	}
	if err := mayReport(b.programme, site, s.Person, s.Kind); err != nil {
		return nil, false, err
	}
	if err := s.complete(b.programme, site, today); err != nil {
		return nil, false, err
	}
	if s.Task == "" {
		if s.Task, err = asked(calls); err != nil && (s.Kind == trail.Away || s.Kind == trail.Problem) {
			s.Task, err = call.BagOn, nil // said of the site, whichever call is open
		}
		if err != nil {
			return nil, false, err
		}
	}
	if err := s.checkTorn(site, known); err != nil {
		return nil, false, err
	}
	if s.Trees = s.whereOff(site, known); s.Kind == trail.BagsOff && len(s.Trees) == 0 {
		return nil, false, fmt.Errorf("no bags are reported on at %s, so none can be off: report them on first, or name the tree", site.Code)
	}
	reports = s.reports()
	p := &pages{db: b.db, engine: &engine{db: pgStore{b.db}, programme: func() *config.Programme { return b.programme }}, now: b.clock.now}
	c := link.Claim{Person: s.Person, Site: s.Site, Task: string(s.Task), Season: today.Year()}
	stored, err = p.Report(ctx, c, contentKey(c, reports, known), reports)
	return reports, stored, err
}

// mayReport refuses reports of somebody who has nothing to do with a site: its
// lead and deputy report, the coordinator and their deputy everywhere, and the
// laboratory what it received.
func mayReport(p *config.Programme, site config.Site, person string, kind trail.Kind) error {
	switch person {
	case site.Lead, site.Deputy, p.Coordinator, p.CoordinatorDeputy:
		return nil
	case p.Laboratory:
		if kind == trail.LotReceived || kind == trail.Problem || kind.Answer() {
			return nil
		}
		return fmt.Errorf("%s is the laboratory, which reports lots received: let the lead of %s, %s, or the coordinator report this", person, site.Code, site.Lead)
	}
	return fmt.Errorf("%s has nothing to do with %s: its lead %s, its deputy or the coordinator reports there; name one of them, or enter %s as its deputy",
		person, site.Code, site.Lead, person)
}

// complete fills in what wasn't said and refuses what can't be.
func (s *Said) complete(p *config.Programme, site config.Site, today civil.Date) error {
	if s.Day == 0 || s.Kind.Answer() {
		s.Day = today
	}
	switch {
	case s.Day > today:
		return fmt.Errorf("%s is still to come, today at %s is %s: report what was done or seen (--going DAY is for a plan)", s.Day, site.Code, today)
	case s.Day.Year() != today.Year():
		return fmt.Errorf("%s isn't of this season, %d: give a day of this year", s.Day, today.Year())
	case s.Kind == trail.Going && s.On < today:
		return fmt.Errorf("%s is past, today at %s is %s: say on which day to come somebody goes", s.On, site.Code, today)
	case s.Kind == trail.Going && s.On.Year() != today.Year():
		return fmt.Errorf("%s isn't of this season, %d: give a day of this year", s.On, today.Year())
	case s.Kind == trail.Away && s.Until < max(s.On, today):
		return fmt.Errorf("an absence from %s to %s is over or ends before it begins, today at %s is %s: give its first and last day", s.On, s.Until, site.Code, today)
	case s.Kind == trail.Problem && s.Note == "":
		return fmt.Errorf("what is the problem? Write it with --problem \"…\"")
	}
	if err := s.checkTrees(site); err != nil {
		return err
	}
	if s.Kind == trail.StageSeen || s.Kind == trail.NotYet {
		return s.checkStage(p.Profiles[site.Profile])
	}
	if s.Task == "" {
		s.Task = taskOfKind[s.Kind]
	}
	return nil
}

// taskOfKind is the call that a kind of report belongs to; answers belong to any.
var taskOfKind = map[trail.Kind]call.Task{
	trail.CatkinsSeen: call.SurveyTrees, trail.NoCatkins: call.SurveyTrees, trail.BagsFine: call.CheckBags, trail.BagsTorn: call.CheckBags,
	trail.LotReceived: call.LotExpected, trail.BagsOn: call.BagOn, trail.BagsOff: call.TakeOff, trail.Picked: call.PickSeed, trail.NothingToPick: call.PickSeed,
	trail.SeedBrown: call.LookAtSeed, trail.SeedGreen: call.LookAtSeed, trail.KitArrived: call.SendKit, trail.Understood: call.ShortSeason,
}

func (s *Said) checkTrees(site config.Site) error {
	if len(s.Trees) == 0 && (s.Kind == trail.BagsOn || s.Kind == trail.BagsTorn || s.Kind == trail.Picked) {
		return fmt.Errorf("%s is said of a tree: name it with --tree, such as --tree %s", s.Kind, cmp.Or(names(site.Trees, func(t trail.Tree) string { return t.Short })...))
	}
	for _, short := range s.Trees {
		t, ok := find(site.Trees, func(t trail.Tree) bool { return t.Short == short })
		if !ok {
			return &Unknown{What: "tree at " + site.Code, Name: short, Known: names(site.Trees, func(t trail.Tree) string { return t.Short })}
		}
		if t.Gone {
			return fmt.Errorf("the tree %s at %s is marked as gone: correct gone in the site's file, or name another tree", short, site.Code)
		}
	}
	return nil
}

// checkStage refuses stages that the site's profile doesn't forecast, and
// finds the call that a stage belongs to.
func (s *Said) checkStage(p stage.Profile) error {
	if _, ok := p.Find(s.BBCH); !ok {
		return &Unknown{What: "stage of profile " + p.Key, Name: s.BBCH.String(), Known: names(p.Stages, func(st stage.Stage) string { return st.Code.String() })}
	}
	if s.Task == "" {
		switch {
		case s.BBCH >= stage.SeedRipe:
			s.Task = call.LookAtSeed
		case s.BBCH > stage.Flowering:
			s.Task = call.TakeOff
		default:
			s.Task = call.BagOn
		}
	}
	return nil
}

// asked gives the one call that somebody is asked to act on now.
func asked(calls map[call.Task]season.State) (call.Task, error) {
	var now []call.Task
	for _, t := range call.Tasks {
		if calls[t].Standing.Asks() {
			now = append(now, t)
		}
	}
	switch len(now) {
	case 0:
		return "", fmt.Errorf("nothing is asked of anybody at this site now: name the call that is answered with --call, such as --call bag-on")
	case 1:
		return now[0], nil
	}
	return "", fmt.Errorf("more than one call is open at this site: %q: name the one that is answered with --call, such as --call bag-on", now)
}

// hanging gives the bags that hang at a site by what is known, tree by tree.
func hanging(site config.Site, known []trail.Report) []season.Need {
	return season.Needs(call.TakeOff, season.Stock{Trees: site.Trees, Settings: site.Settings, Reports: known})
}

// whereOff gives the trees that a report is of: those named, or, where all bags
// are said to be off, those with bags on.
func (s Said) whereOff(site config.Site, known []trail.Report) []string {
	if s.Kind != trail.BagsOff || len(s.Trees) > 0 {
		return s.Trees
	}
	var some []string
	for _, n := range hanging(site, known) {
		some = append(some, n.Tree.Short)
	}
	return some
}

// checkTorn refuses more torn bags of a tree than were known to hang there on
// the day: they may be off by now, also since that very day.
func (s Said) checkTorn(site config.Site, known []trail.Report) error {
	if s.Kind != trail.BagsTorn {
		return nil
	}
	var then []trail.Report
	for _, r := range known {
		if r.Day < s.Day || r.Day == s.Day && r.Kind != trail.BagsOff {
			then = append(then, r)
		}
	}
	hung := map[string]season.Need{}
	for _, n := range hanging(site, then) {
		hung[n.Tree.Short] = n
	}
	for _, tree := range s.Trees {
		if n := hung[tree]; s.Selfing > n.Selfing || s.Control > n.Control {
			return fmt.Errorf("%s of %s had %d selfing and %d control bags hanging on %s, so %d and %d can't be torn: correct the numbers or the day, or report first what hung there",
				tree, site.Code, n.Selfing, n.Control, s.Day, s.Selfing, s.Control)
		}
	}
	return nil
}

func (s Said) reports() []trail.Report {
	trees := s.Trees
	if len(trees) == 0 {
		trees = []string{""}
	}
	var out []trail.Report
	for _, tree := range trees {
		out = append(out, trail.Report{
			Person: s.Person, Site: s.Site, Task: string(s.Task), Kind: s.Kind, Tree: tree, BBCH: int(s.BBCH),
			Selfing: s.Selfing, Control: s.Control, Day: s.Day, On: s.On, Until: s.Until,
			Count: s.Count, Note: s.Note, Way: "command",
		})
	}
	return out
}

// contentKey gives the key under which reports are stored. It holds what they
// say and the last thing known that says otherwise, so that the same command
// twice is one report, but taking a correction back is another.
func contentKey(c link.Claim, reports, known []trail.Report) string {
	h := sha256.New()
	fmt.Fprintf(h, "%s %d %s\n", c.Site, c.Season, c.Person)
	for _, r := range reports {
		other := int64(0)
		for _, k := range slices.Backward(known) {
			if k.Task == r.Task && k.Tree == r.Tree && !same(k, r) {
				other = k.ID
				break
			}
		}
		fmt.Fprintf(h, "%q %q %q %d %d %d %s %s %d\n", r.Task, r.Kind, r.Tree, r.BBCH, r.Selfing, r.Control, r.Day, r.On, other)
		if r.Until != 0 || r.Count != 0 || r.Note != "" {
			fmt.Fprintf(h, "%s %d %q\n", r.Until, r.Count, r.Note)
		}
	}
	return "command-" + hex.EncodeToString(h.Sum(nil)[:16])
}

// same tells whether two reports say the same, whenever they came.
func same(a, b trail.Report) bool {
	a.ID, a.At, a.Way = b.ID, b.At, b.Way
	return a == b
}
