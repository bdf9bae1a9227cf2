package rehearse

// Rivals are the four plain plans, played on a trial's reported seasons.
type Rivals struct {
	Tuned []Tuned // every set of thresholds used
	Plays map[string]map[*Season]Played
}

// Reported lists the seasons of a fold, in the trial's order.
func (t *Trial) Reported(f Fold) []*Season {
	var out []*Season
	for _, s := range t.Seasons {
		if f == Both || (s.Year%2 == 0) == (f == Even) {
			out = append(out, s)
		}
	}
	return out
}

// Rivals tunes the four plans on the years that aren't reported and plays them
// on those that are. A group of sites that has no year of the other kind is
// tuned on nothing and left out of the plays.
func (t *Trial) Rivals(f Fold, scope Scope) Rivals {
	r := Rivals{Plays: map[string]map[*Season]Played{}}
	for _, plan := range RulePlans {
		r.Plays[plan] = map[*Season]Played{}
	}
	even, odd := t.keepers()
	if f == Even || f == Both {
		r.play(even, odd, scope, "odd")
	}
	if f == Odd || f == Both {
		r.play(odd, even, scope, "even")
	}
	return r
}

// keepers prepares all seasons. While a plan is tuned, a site's records are
// those of the other years of the same half; when it is played, those of the
// half it was tuned on. So neither dates nor margin have seen the year reported.
func (t *Trial) keepers() (even, odd []*keeper) {
	bySite := map[string]*[2][]*Season{}
	for _, s := range t.Seasons {
		if bySite[s.Site] == nil {
			bySite[s.Site] = &[2][]*Season{}
		}
		own := &bySite[s.Site][half(s.Year)]
		*own = append(*own, s)
	}
	for _, s := range t.Seasons {
		halves := bySite[s.Site]
		k := newKeeper(s)
		k.tuning = recorded(halves[half(s.Year)], s)
		k.playing = recorded(halves[1-half(s.Year)], s)
		if half(s.Year) == 0 {
			even = append(even, k)
		} else {
			odd = append(odd, k)
		}
	}
	return even, odd
}

func half(year int) int { return (year%2 + 2) % 2 }

// play tunes on one half and plays the other.
func (r *Rivals) play(report, on []*keeper, scope Scope, half string) {
	groups, names := grouped(on, scope)
	reported, _ := grouped(report, scope)
	for _, name := range names {
		for _, plan := range RulePlans {
			best := tune(plan, groups[name])
			best.Group, best.On = name, half
			r.Tuned = append(r.Tuned, best)
			for _, k := range reported[name] {
				r.Plays[plan][k.season] = best.rules.play(k)
			}
		}
	}
}

// grouped sorts keepers by what shares one set of thresholds.
func grouped(all []*keeper, scope Scope) (groups map[string][]*keeper, names []string) {
	groups = map[string][]*keeper{}
	for _, k := range all {
		name := "all sites"
		switch scope {
		case PerStation:
			name = k.season.Station
		case PerSite:
			name = k.season.Site
		}
		if groups[name] == nil {
			names = append(names, name)
		}
		groups[name] = append(groups[name], k)
	}
	return groups, names
}
