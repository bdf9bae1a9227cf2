package rehearse

import (
	"math"
	"time"

	"budcall/internal/civil"
)

// Person is somebody who can be asked to go.
type Person string

// The people of a site, in the order in which they are asked.
const (
	Lead        Person = "lead"
	Deputy      Person = "deputy"
	Coordinator Person = "coordinator"
)

// People lists the people of a site in the order in which they are asked.
var People = []Person{Lead, Deputy, Coordinator}

// Answer delays: lognormal, half within 6 hours, 90 in 100 within 48.
const (
	delayMedian = 6 * time.Hour
	delaySD     = 1.6226 // ln(48/6) / 1.28155, the normal quantile of 0.9
)

// goByHour is the hour up to which an answer still leaves time to go that day.
const goByHour = 12

// overDays is how many days past those told, or past the answer if that is
// later, a person still offers to go.
const overDays = 3

// Reply is what a person answers, if ever. The zero Reply is none.
type Reply struct {
	At   time.Time  // when the answer comes; zero: never
	Goes civil.Date // the day on which they go; zero: they can't
}

// Never reports whether no answer comes at all.
func (r Reply) Never() bool { return r.At.IsZero() }

// Cant reports whether the answer is that the person can't go.
func (r Reply) Cant() bool { return !r.Never() && r.Goes.IsZero() }

// habits are a person's in one season.
type habits struct {
	free   [7]bool // by weekday
	silent bool
	delay  chance
}

// habitsOf draws a person's habits: free at weekends and, unless the setting
// says otherwise, on two random weekdays. Only leads may be silent: the deputy
// and the coordinator answer in the end, otherwise it would be their silence
// that a plan is judged by.
func habitsOf(at chance, p Person, s Settings) habits {
	h := habits{delay: at.at(100)}
	h.free[time.Saturday], h.free[time.Sunday] = true, true
	if !s.WeekendsOnly {
		a := int(5 * at.at(0).uniform())
		b := int(4 * at.at(1).uniform())
		if b >= a {
			b++
		}
		h.free[time.Monday+time.Weekday(a)], h.free[time.Monday+time.Weekday(b)] = true, true
	}
	h.silent = p == Lead && at.at(2).uniform() < s.SilentShare
	return h
}

// answer says when, if ever, a person who is asked at a moment to go within
// days, best on one of them, answers, and when they go. The delay depends on
// the person, the season and the moment only.
//
// They go on their own free day nearest to best among the days told that are
// not before the answer (the same day, if it comes before noon UTC), the earlier
// of two; with none such on their first free day after, if that is at most three
// days past the last day told or past the answer; else they can't.
func (h habits) answer(at time.Time, days civil.Range, best civil.Date) Reply {
	if h.silent {
		return Reply{}
	}
	z := h.delay.at(int(at.Unix())).normal()
	r := Reply{At: at.Add(time.Duration(float64(delayMedian) * math.Exp(delaySD*z))).Truncate(time.Second)}
	soonest := civil.At(r.At.UTC())
	if r.At.UTC().Hour() >= goByHour {
		soonest++
	}
	for d := max(soonest, days.First); d <= days.Last; d++ {
		if h.free[d.Weekday()] && (r.Goes.IsZero() || far(d, best) < far(r.Goes, best)) {
			r.Goes = d
		}
	}
	if !r.Goes.IsZero() {
		return r
	}
	from := max(soonest, days.Last+1)
	for d := from; d <= max(soonest, days.Last)+overDays; d++ {
		if h.free[d.Weekday()] {
			r.Goes = d
			break
		}
	}
	return r
}

// far is the distance of two days.
func far(a, b civil.Date) civil.Date { return max(a-b, b-a) }

// Trip is what came of asking until somebody goes.
type Trip struct {
	Day   civil.Date // zero: nobody went
	By    Person
	Mails int // asking and passing on, one each
}

// passOn is how long an answer is waited for before the next person is asked.
const passOn = 24 * time.Hour

// Send asks the lead, passes on to the deputy and then to the coordinator,
// each 24 hours after the one before was asked without an answer, at once when
// they can't, and takes the first who goes: an answer that comes after passing
// on still counts if it is the first. If all can't, the lead's days are widened
// by a week, and all three are asked once more.
func (s *Season) Send(at time.Time, days civil.Range, best civil.Date) Trip {
	trip := s.send(at, days, best)
	if trip.Day.IsZero() {
		wider := civil.Range{First: days.First, Last: days.Last + 7}
		again := s.send(at.Add(3*passOn), wider, best)
		again.Mails += trip.Mails
		return again
	}
	return trip
}

func (s *Season) send(at time.Time, days civil.Range, best civil.Date) Trip {
	var trip Trip
	var first Reply
	for _, p := range People {
		if !first.Never() && !first.At.After(at) {
			break
		}
		reply := s.Answer(p, at, days, best)
		trip.Mails++
		if !reply.Never() && !reply.Cant() && (first.Never() || reply.At.Before(first.At)) {
			first = reply
			trip.Day, trip.By = reply.Goes, p
		}
		if reply.Cant() && reply.At.Before(at.Add(passOn)) {
			at = reply.At
		} else {
			at = at.Add(passOn)
		}
	}
	return trip
}
