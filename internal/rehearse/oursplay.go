package rehearse

import (
	"context"
	"fmt"
	"slices"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/notice"
	"budcall/internal/replay"
	"budcall/internal/trail"
)

// Bags that are put on each tree, as many as the program asks for.
const (
	selfingBags = 2
	controlBags = 1
)

// kitUnderWay is how long the kit travels.
const kitUnderWay = 7 * 24 * time.Hour

// act is something that a person of the trial will do at a moment: an answer or
// what is reported of a visit.
type act struct {
	at    time.Time
	by    Person
	task  call.Task
	reply Reply       // of an answer
	item  notice.Item // what was told
	visit bool
}

// Telling is one thing that the program told, for the story of a season.
type Telling struct {
	At   time.Time
	To   Person
	Item notice.Item
}

// Issue is a forecast of a stage that the program made on a day; days beyond
// its horizon are zero.
type Issue struct {
	On            civil.Date
	Code          int // BBCH
	P10, P50, P90 civil.Date
}

// Story is how a season went under the program. Issues holds a forecast where
// it differs from the one before it of the same stage.
type Story struct {
	Played
	Told   []Telling
	Trips  []Trip // with the task of each
	Tasks  []call.Task
	Issues []Issue
}

// crew is the people of a season on the receiving end of the program's mails.
type crew struct {
	season  *Season
	game    *replay.Season
	coming  []act
	done    []Done
	story   Story
	letters map[string]bool
	trips   map[call.Task]map[civil.Date]bool
	keep    bool
	ended   time.Time // since when every call has ended and nobody is on the way; zero: not yet
}

// play plays a season by the program, through the jobs that the running
// program does: its people get the mails, answer and go, and report what they
// see and do. keep asks for the story of what was told.
func (o Ours) play(ctx context.Context, base *config.Programme, s *Season, past []trail.Report, keep bool) (Story, error) {
	c := &crew{
		season: s, done: make([]Done, s.Trees()), letters: map[string]bool{}, keep: keep,
		trips: map[call.Task]map[civil.Date]bool{},
	}
	series, err := s.series()
	if err != nil {
		return Story{}, fmt.Errorf("%s: %w", s, err)
	}
	opt := replay.Options{
		Programme: o.programme(base, s), From: o.begin(s).In(time.UTC, 0, 0),
		Series: map[string]*replay.Series{stationCode: series}, Key: make([]byte, 32), Past: past, Keep: keep, OnTold: c.told,
	}
	if !o.WithoutForecast {
		opt.Outlook = s.outlook
	}
	if c.game, err = replay.New(opt); err != nil {
		return Story{}, fmt.Errorf("%s: %w", s, err)
	}
	if err := c.run(ctx, o, (s.Last + 1).Midnight()); err != nil {
		return Story{}, fmt.Errorf("%s: %w", s, err)
	}
	for _, i := range c.game.Kept().Issued {
		c.story.Issues = append(c.story.Issues, Issue{i.On, int(i.Code), i.P10, i.P50, i.P90})
	}
	if troubles := c.game.Troubles(); len(c.letters) == 0 && len(troubles) > 0 {
		return Story{}, fmt.Errorf("%s: nothing was told, since %s", s, troubles[0])
	}
	c.story.Played = Played{
		Trees: c.done, Mails: len(c.letters),
		TripsBag: len(c.trips[call.BagOn]), TripsOff: len(c.trips[call.TakeOff]), TripsPick: len(c.trips[call.PickSeed]),
	}
	return c.story, nil
}

// run lets mails and people take turns until the season's end.
func (c *crew) run(ctx context.Context, o Ours, end time.Time) error {
	for {
		next, err := c.game.Next(ctx)
		if err != nil {
			return err
		}
		if len(c.coming) > 0 && !c.coming[0].at.After(next) {
			if c.coming[0].at.After(end) {
				return nil
			}
			a := c.coming[0]
			c.coming = c.coming[1:]
			if err := c.act(ctx, a); err != nil {
				return err
			}
			continue
		}
		if next.After(end) || !o.wholeYear && c.over(next) {
			return nil
		}
		if err := c.game.StepTo(ctx, next); err != nil {
			return err
		}
	}
}

// told is called for everything that somebody is told.
func (c *crew) told(t replay.Telling) {
	if t.Person == "" || t.Kind == notice.Ops {
		return
	}
	by := Person(t.Person)
	if t.Person == string(Lead) || t.Passed {
		c.letters[t.Letter] = true
	}
	if c.keep {
		c.story.Told = append(c.story.Told, Telling{t.At, by, t.Item})
	}
	task, item := t.Item.Task, t.Item
	if item.Standing.Ended() { // whoever was to go needn't
		c.coming = slices.DeleteFunc(c.coming, func(a act) bool { return a.by == by && a.task == task })
	}
	if !item.Standing.Asks() {
		return
	}
	r := c.season.Answer(by, t.At, item.Days, item.Best)
	if r.Never() {
		return
	}
	c.expect(act{at: r.At, by: by, task: task, reply: r, item: item})
}

// expect puts an act in its place.
func (c *crew) expect(a act) {
	i := len(c.coming)
	for i > 0 && c.coming[i-1].at.After(a.at) {
		i--
	}
	c.coming = slices.Insert(c.coming, i, a)
}

// act lets a person answer or report.
func (c *crew) act(ctx context.Context, a act) error {
	if a.visit {
		return c.visit(ctx, a)
	}
	if c.taken(a) {
		return nil
	}
	c.drop(a) // a new answer is in place of what the same person had promised
	say := trail.Report{Person: string(a.by), Site: siteCode, Task: string(a.task), Day: civil.At(a.at), Way: "form"}
	switch {
	case a.task == call.ShortSeason:
		say.Kind = trail.Understood
	case a.task == call.LotExpected: // it has come by the time that somebody looks
		say.Kind = trail.LotReceived
	case a.task == call.SendKit:
		say.Kind, say.On = trail.Going, civil.At(a.at)
		c.expect(act{at: a.at.Add(kitUnderWay), by: a.by, task: a.task, visit: true})
	case a.reply.Cant():
		say.Kind = trail.CannotGo
	default:
		say.Kind, say.On = trail.Going, a.reply.Goes
		c.expect(act{at: a.reply.Goes.In(time.UTC, visitHour, 0), by: a.by, task: a.task, item: a.item, visit: true})
	}
	return c.game.Report(ctx, a.at, say)
}

// taken reports whether somebody else has said that they go, no later than this
// person would: the form shows it.
func (c *crew) taken(a act) bool {
	return slices.ContainsFunc(c.coming, func(b act) bool {
		return b.visit && b.by != a.by && b.task == a.task && (a.reply.Cant() || !b.at.After(a.reply.Goes.In(time.UTC, visitHour, 0)))
	})
}

// drop takes back the visit that a person had promised for a task.
func (c *crew) drop(a act) {
	c.coming = slices.DeleteFunc(c.coming, func(b act) bool { return b.visit && b.by == a.by && b.task == a.task })
}

// visit does a task and reports it.
func (c *crew) visit(ctx context.Context, a act) error {
	day := civil.At(a.at)
	if a.task == call.SendKit {
		return c.game.Report(ctx, a.at, trail.Report{Person: string(a.by), Site: siteCode, Task: string(a.task), Kind: trail.KitArrived, Day: day, Way: "form"})
	}
	trees := c.open(a.task)
	if len(trees) == 0 { // somebody else was there
		return nil
	}
	if c.keep {
		c.story.Trips, c.story.Tasks = append(c.story.Trips, Trip{Day: day, By: a.by}), append(c.story.Tasks, a.task)
	}
	reports := walk{c.season}.do(a.task, a.item.Standing, a.item.Second, trees, day, a.by, c.done)
	c.count(a.task, day, reports)
	if len(reports) == 0 {
		return nil
	}
	return c.game.Report(ctx, a.at, reports...)
}

// count books a trip. A look at which seed was picked is a trip for seed too.
func (c *crew) count(task call.Task, day civil.Date, reports []trail.Report) {
	picked := slices.ContainsFunc(reports, func(r trail.Report) bool { return r.Kind == trail.Picked })
	if task == call.LookAtSeed && picked {
		task = call.PickSeed
	}
	if c.trips[task] == nil {
		c.trips[task] = map[civil.Date]bool{}
	}
	c.trips[task][day] = true
}

// open lists the trees at which a task is still to be done.
func (c *crew) open(task call.Task) []int {
	var out []int
	for i, d := range c.done {
		switch {
		case task == call.BagOn && !d.Bagged.IsZero():
		case (task == call.TakeOff || task == call.CheckBags) && (d.Bagged.IsZero() || !d.Off.IsZero()):
		case task == call.PickSeed && (d.Bagged.IsZero() || !d.Picked.IsZero()):
		case task == call.LookAtSeed && d.Bagged.IsZero():
		default:
			out = append(out, i)
		}
	}
	return out
}
