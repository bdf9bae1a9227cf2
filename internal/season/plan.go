package season

import (
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

// plan gives the days of the task as seen today, and false while they are
// beyond the forecast's horizon or the task isn't a matter of days yet.
func (v view) plan() (plan, bool) {
	f, s := v.Forecast, v.Site.Settings
	switch v.task {
	case call.SendKit:
		early, ok := f.Swelling.Quantile(0.10)
		leave := early - civil.Date(s.TransitDays)
		if v.prev.Standing.Asks() { // once asked for, the day stays
			leave, ok = v.prev.Days.Last, true
		}
		return v.fixed(civil.Range{First: leave, Last: leave}), ok
	case call.BagOn:
		w := window{from: v.Day, horizon: horizon(f.Break), late: f.Break, canGo: v.holder().CanGo}
		return plans(bagOdds(f, s), w, s)
	case call.TakeOff:
		first, ok := f.Over.Quantile(s.TakeOffChance)
		return v.fixed(civil.Range{First: first, Last: first + civil.Date(s.MaxOnDays)}), ok
	case call.LookAtSeed:
		first, ok1 := f.Ripe.Quantile(0.10)
		last, ok2 := f.Ripe.Quantile(0.50)
		return v.fixed(civil.Range{First: first, Last: last}), ok1 && ok2
	case call.PickSeed:
		w := window{from: v.Day, horizon: min(horizon(f.Shed), v.seasonEnd()), late: f.Shed, canGo: v.holder().CanGo}
		p, ok := plans(pickOdds(f, s), w, s)
		if ok && v.ledger.brown != 0 {
			p.Opens, p.Days.First = true, min(p.Days.First, v.Day)
		}
		return p, ok
	case call.ShortSeason:
		return v.short()
	}
	return plan{}, false
}

// short: the season is spoken of as short from mid-season on, while ripe seed
// before its end is less likely than the setting; once said it is taken back
// only when the chance is clearly better again.
func (v view) short() (plan, bool) {
	s := v.Site.Settings
	chance, limit := v.Forecast.Ripe.On(v.seasonEnd()), s.ShortChance
	if v.prev.Standing.Asks() {
		limit += 0.1 // our assumption: so that a day's weather doesn't say it and take it back
	}
	mid := s.MidSeason.In(v.Site.Season)
	p := v.fixed(civil.Range{First: mid, Last: v.seasonEnd()})
	return p, v.Day >= mid && chance < limit
}

// fixed is a plan of given days that opens the evening before its first.
func (v view) fixed(days civil.Range) plan {
	return plan{Days: days, Best: max(days.First, min(v.Day, days.Last)), Opens: v.Day+1 >= days.First}
}

// horizon is the first day on which something is all but certain, or the end
// of what the distribution covers.
func horizon(d ensemble.Days) civil.Date {
	if q, ok := d.Quantile(0.999); ok {
		return q
	}
	return d.From + civil.Date(len(d.By)) - 1
}

// chain is the people that the task goes to, in order.
func (v view) chain() []Person {
	switch v.task {
	case call.SendKit, call.ShortSeason:
		return v.Site.Desk
	}
	return v.Site.Field
}

// holder is the person who has the task now; nobody where no one is known.
func (v view) holder() Person {
	chain := v.chain()
	if len(chain) == 0 {
		return Person{}
	}
	return chain[min(v.prev.Level, len(chain)-1)]
}
