package cli

import (
	"math"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// nearby is the answer: the site, the lists and the best of their stations.
type nearby struct {
	site  weather.Place
	today civil.Date
	files []listFile
	all   int // stations in the lists
	// turnedKm is how far the nearest is when the site's latitude and longitude
	// are exchanged; +Inf where they can't be.
	turnedKm float64
	ranked   []rankedStation
}

// rankedStation is a station with its rank.
type rankedStation struct {
	weather.Ranked
	*listed
	years float64 // NaN is not known
}

// rank ranks the stations for the site.
func (r *readLists) rank(site weather.Place, today civil.Date, most int) nearby {
	c := weather.Catalogue{Site: site, Most: most}
	var order []*listed
	for i := range stationLists { // among equals, the list of a country comes first
		for _, st := range r.stations {
			if st.list == &stationLists[i] {
				order, c.Candidates = append(order, st), append(c.Candidates, st.candidate(today))
			}
		}
	}
	near := nearby{site: site, today: today, files: r.files, all: len(order), turnedKm: math.Inf(1)}
	for _, s := range c.Candidates {
		if turned := (weather.Place{LatDeg: site.LonDeg, LonDeg: site.LatDeg}); math.Abs(turned.LatDeg) <= 90 {
			near.turnedKm = min(near.turnedKm, turned.DistanceKm(s.Place))
		}
	}
	for _, rank := range c.Rank() {
		near.ranked = append(near.ranked, rankedStation{rank, order[rank.Index], c.Candidates[rank.Index].Years})
	}
	return near
}

func (st *listed) candidate(today civil.Date) weather.Candidate {
	p := st.Place
	return weather.Candidate{
		Place:    weather.Place{LatDeg: p.LatitudeDeg, LonDeg: p.LongitudeDeg, AltitudeM: p.AltitudeM},
		Provider: st.list.provider, Last: st.Last, Ended: st.ended,
		Years: st.yearsTo(today), Share: st.share, Thermometer: st.thermometer,
	}
}

// yearsTo is how long the station has measured; NaN is not known.
func (st *listed) yearsTo(today civil.Date) float64 {
	if st.First.IsZero() {
		return math.NaN()
	}
	end := st.Last
	if end.IsZero() || end > today && !st.ended { // an inventory says the year only
		end = max(today, st.First)
	}
	return float64(end-st.First+1) / 365.25
}
