package rehearse

import (
	"math"
	"time"

	"budcall/internal/civil"
)

// basis is what a rule goes by.
type basis int

const (
	byDate     basis = iota // a day of the year
	byHeat                  // a heat sum that has been observed
	byForecast              // a heat sum that the raw forecast expects
)

// rule says when people are asked to go for one task.
type rule struct {
	basis basis
	at    float64 // day of the year from 0, or °C·d
	lead  int     // days ahead: of the date, or that the forecast is believed
	again float64 // after a visit that left trees: days, or further °C·d
}

// noticeDays is how long before a date of the calendar people are asked.
const noticeDays = 7

// openDays is how long after the first day told a plan still takes people, so
// that they go on their next free day.
const openDays = 20

// asking is a moment at which a plan asks, from 0 for 1 January, and for what.
type asking struct {
	today, first, last, best int
}

// ask gives the first morning from a day on, on which the rule asks. want is
// the date or heat, which after a visit lies further than the rule's.
func (r rule) ask(k *known, from int, want float64) (asking, bool) {
	n := len(k.sum)
	switch r.basis {
	case byDate:
		day := max(from, int(math.Round(want)))
		today := max(from, day-noticeDays)
		return asking{today, day, day + openDays, day}, day < n
	case byHeat:
		for d := max(from, k.start); d < n; d++ {
			if k.sum[d] >= want {
				return asking{d, d, d + openDays, d}, true
			}
		}
	case byForecast:
		for d := max(from, k.start-r.lead); d < n; d++ {
			if k.soon[d*LeadDays+r.lead] >= want {
				best := d
				for lead := 0; lead <= r.lead && k.soon[d*LeadDays+lead] < want; lead++ {
					best = d + lead + 1
				}
				return asking{d, d, best, best}, true
			}
		}
	}
	return asking{}, false
}

// went is a trip made, its day from 0 for 1 January.
type went struct {
	day, mails int
}

// trip asks from a day on and gives the trip that came of it.
func (r rule) trip(k *known, from int, want float64) (went, bool) {
	a, ok := r.ask(k, from, want)
	if !ok {
		return went{}, false
	}
	s := k.season
	t := s.Send(morning(s.First+civil.Date(a.today)), civil.Range{First: s.First + civil.Date(a.first), Last: s.First + civil.Date(a.last)}, s.First+civil.Date(a.best))
	if t.Day.IsZero() || t.Day > s.Last {
		return went{mails: t.Mails}, false
	}
	return went{int(t.Day - s.First), t.Mails}, true
}

// morning is the moment at which plans go through what is known.
func morning(day civil.Date) time.Time { return day.In(time.UTC, 6, 10) }

// maxLooks is how often people go for one season's seed at most.
const maxLooks = 12

// seed plays the picking: at each visit what looks ripe is picked, what has
// shed is given up, and the rest is looked at again.
func (r rule) seed(k *known) (picked []civil.Date, trips, mails int) {
	s := k.season
	picked = make([]civil.Date, len(s.trees))
	open := make([]bool, len(s.trees))
	for i := range open {
		open[i] = true
	}
	from, want := 0, r.at
	for range maxLooks {
		trip, ok := r.trip(k, from, want)
		mails += trip.mails
		if !ok {
			return picked, trips, mails
		}
		trips++
		left := false
		for i := range open {
			if !open[i] {
				continue
			}
			seen := s.Visit(i, s.First+civil.Date(trip.day))
			if seen.Ripe && !seen.Shed {
				picked[i] = seen.Day
			}
			open[i] = !seen.Ripe // shed seed was ripe, too
			left = left || open[i]
		}
		if !left {
			return picked, trips, mails
		}
		from = trip.day + 1
		want = float64(trip.day) + r.again
		if r.basis != byDate {
			want = k.sum[trip.day] + r.again
		}
	}
	return picked, trips, mails
}
