package config

import (
	"fmt"
	"math"
	"strconv"

	"budcall/internal/weather"
)

// place is a point on the earth.
type place struct {
	latDeg, lonDeg, altitudeM float64
	known                     bool // all of it was read
}

// readPlace reads where something is.
func readPlace(s *section) place {
	lat := s.need("lat_deg", "degrees north, such as 61.2345")
	lon := s.need("lon_deg", "degrees east, such as 24.5678")
	altitude := s.need("altitude_m", "metres above sea level")
	if exchanged(lat, lon) {
		lat.problem("latitude and longitude seem to be exchanged", "lat_deg is degrees north, -90 to 90")
		return place{}
	}
	var p place
	var ok1, ok2, ok3 bool
	p.latDeg, ok1 = lat.number(bounds{-90, 90, "degrees north, south is negative"})
	p.lonDeg, ok2 = lon.number(bounds{-180, 180, "degrees east, west is negative"})
	p.altitudeM, ok3 = altitude.number(bounds{-430, 5000, "metres above sea level"})
	p.known = ok1 && ok2 && ok3
	return p
}

// exchanged reports whether the latitude can't be one, while it could be a
// longitude and the longitude a latitude.
func exchanged(lat, lon entry) bool {
	latText, ok1 := scalarOf(lat.node)
	lonText, ok2 := scalarOf(lon.node)
	a, err1 := strconv.ParseFloat(latText, 64)
	b, err2 := strconv.ParseFloat(lonText, 64)
	return ok1 && ok2 && err1 == nil && err2 == nil && math.Abs(a) > 90 && math.Abs(a) <= 180 && math.Abs(b) <= 90
}

// DistanceKm is the distance between a site and a station along the earth's
// surface.
func (s Site) DistanceKm(t Station) float64 {
	return weather.Place{LatDeg: s.LatDeg, LonDeg: s.LonDeg}.DistanceKm(weather.Place{LatDeg: t.LatDeg, LonDeg: t.LonDeg})
}

// Beyond these, a station says little of a site (our assumptions).
const (
	farKm  = 200
	highM  = 300
	farSaw = "readings from so far away say little of this site"
)

// compare holds a site against one of its stations; at is where the site names
// it, lat where the site's position stands. It is false where one of the two
// positions must be wrong, so that no other station need be looked at.
func compare(at, lat entry, s Site, t Station) bool {
	km := s.DistanceKm(t)
	turned := weather.Place{LatDeg: s.LonDeg, LonDeg: s.LatDeg}.DistanceKm(weather.Place{LatDeg: t.LatDeg, LonDeg: t.LonDeg})
	switch {
	case km > farKm && math.Abs(s.LonDeg) <= 90 && turned <= farKm:
		lat.problem(fmt.Sprintf("the site is %.0f km from station %s, but with latitude and longitude exchanged only %.0f km", km, t.Code, turned), "exchange them here, or at the station")
		return false
	case km > farKm:
		at.warn(fmt.Sprintf("station %s is %.0f km away", t.Code, km), farSaw+": name a nearer one if there is one")
	}
	if up := s.AltitudeM - t.AltitudeM; math.Abs(up) > highM {
		word := "higher"
		if up < 0 {
			word = "lower"
		}
		at.warn(fmt.Sprintf("the site is %.0f m %s than station %s", math.Abs(up), word, t.Code), "temperatures are corrected by 6.5 K per km, which cold hollows don't keep to: name a station at its height if there is one")
	}
	return true
}
