package rehearse

import (
	"slices"
	"time"

	"budcall/internal/civil"
)

// Task is what somebody is asked to do.
type Task string

// The tasks. Told is a mail that wants nothing done: it is counted, and no
// answer comes.
const (
	Told    Task = "told"
	Look    Task = "look"
	Bag     Task = "bag"
	TakeOff Task = "take off"
	Pick    Task = "pick"
)

// Ask is one thing asked of one person. What one person is asked at one moment
// goes in one mail.
type Ask struct {
	To    Person
	Task  Task
	Days  civil.Range
	Best  civil.Date
	Trees []int // by number; nil: all
	// Leave are the trees that are left unbagged if, on the day, their buds
	// aren't seen to swell.
	Leave []int
}

// Replied is an answer to an ask.
type Replied struct {
	Ask   Ask
	Reply Reply
}

// Event is what has just reached a plan.
type Event string

// The events.
const (
	Slot     Event = "slot"     // 06:10, 15:10 or 17:00
	Answered Event = "answered" // the last of Replies is new
	Visited  Event = "visited"  // the last reports are new: one trip's
)

// View is all that a plan may know at a moment. Its slices are shared: read
// them only.
type View struct {
	At       time.Time // UTC
	Today    civil.Date
	Event    Event
	Observed []float64 // daily means, °C, from 1 January up to yesterday; NaN: missing
	Forecast []float64 // daily means, °C, of today and on, issued today
	Replies  []Replied // so far, as they came
	Reports  []Report  // so far, as they came
	Done     []Done    // by tree, as reported: the plan is told what was done
}

// Plan is a plan on trial, playing one season. Now is called at each slot of
// each day from 1 January to 31 October, after each answer and after each visit;
// what it returns is sent at that moment.
type Plan interface {
	Now(View) []Ask
}

// visitHour is when people at the trees report, UTC.
const visitHour = 18

// slots are the hours and minutes at which a plan is called each day, UTC.
var slots = [][2]int{{6, 10}, {15, 10}, {17, 0}}

// happening is an answer or a visit that will come.
type happening struct {
	at    time.Time
	ask   Ask
	reply Reply
	visit bool
}

// playing is a season in play.
type playing struct {
	season *Season
	plan   Plan
	view   View
	coming []happening // by time, those of one time as they were made
	trips  map[Task]map[civil.Date]bool
	mails  int
}

// Play plays a season by a plan, day by day, with the season's people: whoever
// is asked answers when they do, goes on the day they said, does the task at
// every tree asked for where it is still to be done, and reports at 18:00 UTC.
// Bags are put on whatever stage is seen, save on the trees of Leave; seed is
// picked where it is seen ripe and not shed. Trips of one task on one day count
// as one. Whoever said that they go goes: a plan that passes on may send two.
func Play(s *Season, plan Plan) Played {
	p := &playing{season: s, plan: plan, trips: map[Task]map[civil.Date]bool{}}
	p.view.Done = make([]Done, len(s.trees))
	for day := s.First; day <= s.Last; day++ {
		for _, slot := range slots {
			at := day.In(time.UTC, slot[0], slot[1])
			p.until(at)
			p.call(at, Slot)
		}
	}
	p.until((s.Last + 1).Midnight())
	return Played{
		Trees: p.view.Done, Mails: p.mails,
		TripsBag: len(p.trips[Bag]), TripsOff: len(p.trips[TakeOff]), TripsPick: len(p.trips[Pick]),
	}
}

// until lets everything happen that comes before a moment.
func (p *playing) until(at time.Time) {
	for len(p.coming) > 0 && p.coming[0].at.Before(at) {
		h := p.coming[0]
		p.coming = p.coming[1:]
		if h.visit {
			p.visit(h)
			p.call(h.at, Visited)
			continue
		}
		p.view.Replies = append(p.view.Replies, Replied{h.ask, h.reply})
		if !h.reply.Cant() {
			p.expect(happening{at: h.reply.Goes.In(time.UTC, visitHour, 0), ask: h.ask, reply: h.reply, visit: true})
		}
		p.call(h.at, Answered)
	}
}

// call tells the plan the time and sends what it returns.
func (p *playing) call(at time.Time, event Event) {
	p.view.At, p.view.Today, p.view.Event = at, civil.At(at), event
	p.view.Observed, p.view.Forecast = p.season.Observed(p.view.Today), p.season.Forecast(p.view.Today)
	view := p.view
	view.Done = slices.Clone(p.view.Done)
	told := map[Person]bool{}
	for _, ask := range p.plan.Now(view) {
		if !told[ask.To] {
			told[ask.To] = true
			p.mails++
		}
		if ask.Task == Told {
			continue
		}
		if r := p.season.Answer(ask.To, at, ask.Days, ask.Best); !r.Never() {
			p.expect(happening{at: r.At, ask: ask, reply: r})
		}
	}
}

// expect puts a happening in its place.
func (p *playing) expect(h happening) {
	i, _ := slices.BinarySearchFunc(p.coming, h, func(a, b happening) int {
		if a.at.After(b.at) {
			return 1
		}
		return -1 // equal times stay before: first made, first come
	})
	p.coming = slices.Insert(p.coming, i, h)
}

// visit does the task of a trip.
func (p *playing) visit(h happening) {
	day := h.reply.Goes
	if p.trips[h.ask.Task] == nil {
		p.trips[h.ask.Task] = map[civil.Date]bool{}
	}
	p.trips[h.ask.Task][day] = true
	trees := h.ask.Trees
	if trees == nil {
		for i := range p.season.trees {
			trees = append(trees, i)
		}
	}
	for _, i := range trees {
		seen := p.season.Visit(i, day)
		p.view.Reports = append(p.view.Reports, seen)
		done := &p.view.Done[i]
		switch {
		case h.ask.Task == Bag && done.Bagged.IsZero() && !(seen.Leaf == 0 && slices.Contains(h.ask.Leave, i)):
			done.Bagged = day
		case h.ask.Task == TakeOff && !done.Bagged.IsZero() && done.Off.IsZero():
			done.Off = day
		case h.ask.Task == Pick && done.Picked.IsZero() && seen.Ripe && !seen.Shed:
			done.Picked = day
		}
	}
}
