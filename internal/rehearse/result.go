package rehearse

import (
	"cmp"
	"math"
	"slices"
)

// Measures are the figures of a plan: shares of trees, trips a site and season,
// mails a lead and season.
type Measures struct {
	Lost, TooEarly, InTime, OffInTime, PickedRipe, TripsBag, TripsPick, MailsPerLead float64
}

// values lists the figures in the order of the fields.
func (m *Measures) values() []*float64 {
	return []*float64{&m.Lost, &m.TooEarly, &m.InTime, &m.OffInTime, &m.PickedRipe, &m.TripsBag, &m.TripsPick, &m.MailsPerLead}
}

// PlanResult is a plan's figures with their standard errors over years.
type PlanResult struct {
	Plan           string  `json:"plan"`
	Lost           float64 `json:"lost"`
	TooEarly       float64 `json:"too_early"`
	InTime         float64 `json:"in_time"`
	OffInTime      float64 `json:"off_in_time"`
	PickedRipe     float64 `json:"picked_ripe"`
	TripsBag       float64 `json:"trips_bag"`
	TripsPick      float64 `json:"trips_pick"`
	MailsPerLead   float64 `json:"mails_per_lead"`
	LostSE         float64 `json:"lost_se"`
	TooEarlySE     float64 `json:"too_early_se"`
	InTimeSE       float64 `json:"in_time_se"`
	OffInTimeSE    float64 `json:"off_in_time_se"`
	PickedRipeSE   float64 `json:"picked_ripe_se"`
	TripsBagSE     float64 `json:"trips_bag_se"`
	TripsPickSE    float64 `json:"trips_pick_se"`
	MailsPerLeadSE float64 `json:"mails_per_lead_se"`
}

// Worst is a site and season that went badly under the plan on trial.
type Worst struct {
	Site     string  `json:"site"`
	Year     int     `json:"year"`
	Lost     float64 `json:"lost"`
	TooEarly float64 `json:"too_early"`
	Reason   string  `json:"reason"`
}

// Result is a trial's outcome.
type Result struct {
	Plans    []PlanResult `json:"plans"`
	Stations int          `json:"stations"`
	Seasons  int          `json:"seasons"` // sites times years
	Seed     uint64       `json:"seed"`
	Worst    []Worst      `json:"worst"`
}

// measure gives the figures of one season under a plan.
func measure(s *Season, p Played) Measures {
	var m Measures
	share := 1 / float64(len(s.trees))
	add := func(to *float64, is bool) {
		if is {
			*to += share
		}
	}
	for i, t := range s.trees {
		v := Judge(t, p.Trees[i], s.set.Limits)
		add(&m.Lost, v.Lost)
		add(&m.TooEarly, v.TooEarly)
		add(&m.InTime, v.InTime)
		add(&m.OffInTime, v.OffInTime)
		add(&m.PickedRipe, v.PickedRipe)
	}
	m.TripsBag, m.TripsPick, m.MailsPerLead = float64(p.TripsBag), float64(p.TripsPick), float64(p.Mails)
	return m
}

// Summarize gives a plan's figures over the seasons it played. The standard
// error is that of a mean of yearly means: with w the share of the seasons that
// lie in a year and d the yearly mean less the mean of all, √(n/(n−1)·Σ(w·d)²)
// over n years, since the sites of a year share its weather's luck; NaN-free: 0
// with one year. It doesn't hold the luck of which sites were drawn.
func Summarize(plan string, plays map[*Season]Played) PlanResult {
	byYear := map[int][]Measures{}
	seasons := make([]*Season, 0, len(plays))
	for s := range plays {
		seasons = append(seasons, s)
	}
	slices.SortFunc(seasons, bySiteAndYear)
	for _, s := range seasons {
		byYear[s.Year] = append(byYear[s.Year], measure(s, plays[s]))
	}
	var years []int
	for y := range byYear {
		years = append(years, y)
	}
	slices.Sort(years)
	var mean, se Measures
	for i := range mean.values() {
		var yearly, weights []float64
		for _, y := range years {
			sum := 0.0
			for _, m := range byYear[y] {
				sum += *m.values()[i]
			}
			yearly = append(yearly, sum/float64(len(byYear[y])))
			weights = append(weights, float64(len(byYear[y]))/float64(len(plays)))
		}
		*mean.values()[i], *se.values()[i] = meanAndError(yearly, weights)
	}
	return PlanResult{
		plan, mean.Lost, mean.TooEarly, mean.InTime, mean.OffInTime, mean.PickedRipe, mean.TripsBag, mean.TripsPick, mean.MailsPerLead,
		se.Lost, se.TooEarly, se.InTime, se.OffInTime, se.PickedRipe, se.TripsBag, se.TripsPick, se.MailsPerLead,
	}
}

// meanAndError gives the weighted mean and its standard error; weights add up
// to 1.
func meanAndError(values, weights []float64) (mean, se float64) {
	for i, v := range values {
		mean += weights[i] * v
	}
	if len(values) < 2 {
		return mean, 0
	}
	sum := 0.0
	for i, v := range values {
		d := weights[i] * (v - mean)
		sum += d * d
	}
	n := float64(len(values))
	return mean, math.Sqrt(n / (n - 1) * sum)
}

// worstOf is how many of the worst seasons are told.
const worstOf = 10

// WorstOf lists the ten seasons with the greatest loss, lost + too early /
// EarlyPerLost, the worst first; seasons without loss are left out. reason says
// why, in words.
func WorstOf(plays map[*Season]Played, reason func(*Season, Played) string) []Worst {
	type row struct {
		s    *Season
		m    Measures
		loss float64
	}
	var rows []row
	for s, p := range plays {
		m := measure(s, p)
		if loss := m.Lost + m.TooEarly/s.set.EarlyPerLost; loss > 0 {
			rows = append(rows, row{s, m, loss})
		}
	}
	slices.SortFunc(rows, func(a, b row) int {
		return cmp.Or(cmp.Compare(b.loss, a.loss), bySiteAndYear(a.s, b.s))
	})
	out := []Worst{}
	for _, r := range rows[:min(worstOf, len(rows))] {
		out = append(out, Worst{r.s.Site, r.s.Year, r.m.Lost, r.m.TooEarly, reason(r.s, plays[r.s])})
	}
	return out
}

func bySiteAndYear(a, b *Season) int {
	return cmp.Or(cmp.Compare(a.Site, b.Site), cmp.Compare(a.Year, b.Year))
}
