package rehearse

import "budcall/internal/civil"

// Played is what a plan did in one season.
type Played struct {
	Trees                         []Done
	TripsBag, TripsOff, TripsPick int
	Mails                         int
}

// The names of the four plans to beat.
const (
	PlanCalendar   = "calendar"
	PlanMedian     = "heat sum, median"
	PlanTuned      = "heat sum, tuned"
	PlanTunedAhead = "heat sum, tuned, raw forecast"
)

// RulePlans lists the four plans to beat.
var RulePlans = []string{PlanCalendar, PlanMedian, PlanTuned, PlanTunedAhead}

// rules are a plan: one rule for each task.
type rules struct {
	bag, off, pick rule
}

// keeper is what a rule plan has of one season: its heat sums, and the mean
// dates that the site's records of other years give, while the plan is tuned and
// when it is played.
type keeper struct {
	season          *Season
	bag, off, pick  *known
	tuning, playing means
}

// means are the mean days of the year, from 0, on which a site's trees came to
// a stage in other years.
type means struct {
	open, over, ripe float64
}

// newKeeper prepares a season for the rule plans.
func newKeeper(s *Season) *keeper {
	climate := s.Climate()
	bag, _ := s.set.stage(Swelling)
	off, _ := s.set.stage(FlowerEnd)
	pick, _ := s.set.stage(SeedRipe)
	k := &keeper{season: s, bag: newKnown(s, bag, climate), off: newKnown(s, off, climate)}
	k.pick = newKnown(s, pick, climate)
	return k
}

// play plays a season by rules. Everybody at the site is sent for all trees.
func (r rules) play(k *keeper) Played {
	s := k.season
	p := Played{Trees: make([]Done, len(s.trees))}
	if r.bag.basis == byDate {
		r.bag.at += k.playing.open
		r.off.at += k.playing.over
		r.pick.at += k.playing.ripe
	}
	bag, bagged := r.bag.trip(k.bag, 0, r.bag.at)
	p.Mails += bag.mails
	off, taken := r.off.trip(k.off, 0, r.off.at)
	p.Mails += off.mails
	picked, trips, mails := r.pick.seed(k.pick)
	p.TripsPick = trips
	p.Mails += mails
	if bagged {
		p.TripsBag = 1
	}
	if taken {
		p.TripsOff = 1
	}
	for i := range p.Trees {
		p.Trees[i].Picked = picked[i]
		if bagged {
			p.Trees[i].Bagged = s.First + civil.Date(bag.day)
		}
		if taken {
			p.Trees[i].Off = s.First + civil.Date(off.day)
		}
	}
	return p
}

// recorded gives the mean days over the seasons of a site other than one; 0
// where there is none.
func recorded(seasons []*Season, but *Season) means {
	mean := func(code int) float64 {
		sum, n := 0.0, 0
		for _, s := range seasons {
			if s == but {
				continue
			}
			for _, t := range s.trees {
				if d := t.Reached[code]; !d.IsZero() {
					sum += float64(d - s.First)
					n++
				}
			}
		}
		return sum / max(1, float64(n))
	}
	return means{open: mean(BudBreak), over: mean(FlowerEnd), ripe: mean(SeedRipe)}
}
