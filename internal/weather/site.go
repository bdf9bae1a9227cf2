package weather

import (
	"cmp"
	"math"
	"slices"

	"budcall/internal/civil"
)

// Need says what a heat's method takes from a day.
type Need int

// What a day must hold to serve.
const (
	NeedMean     Need = iota // a published mean, or both extremes for the mid-range
	NeedExtremes             // minimum and maximum
)

// Series is one station's judged days, sorted and without repeats, and what
// is needed to carry them to a site.
type Series struct {
	Station   string
	AltitudeM float64 // metres above sea level
	ErrSDC    float64 // error of this station's days when they stand for the site's and only altitude is corrected, one standard deviation in K; see ErrorSDC
	Stead     *Stead  // how its days stand for those of the site's first station; nil: only altitude is corrected
	Days      []Day
}

// Site is a place with its stations, the nearest (or best) first.
type Site struct {
	AltitudeM  float64
	Need       Need
	MaxGapDays int // days in a row that other stations may fill when the first has none
	Ranked     []Series
}

// SiteDay is a day at the site: the reading it comes from, carried to the
// site's altitude, and its stated error.
type SiteDay struct {
	Day        Day     // missing when no station serves
	Station    string  // empty when the day is missing
	ErrSDC     float64 // one standard deviation in K; NaN when the day is missing
	Substitute bool    // from another station than the first
	Doubt      Doubt   // of a substitute: its error beside a reading of the first station; else none
}

// Fill gives one SiteDay for each day of the range, in order. The first
// station's reading stands wherever it is usable. In a gap of the first
// station the next ones serve in turn, but for MaxGapDays days in a row only;
// from then on the days stay missing until the first station is back, for
// another station's season is not this site's. A day that no station serves
// is missing; nothing is interpolated. What is filled depends on nothing
// later than the day. A substitute's day is what is expected of the first
// station, by its Stead where it has one.
func (s Site) Fill(r civil.Range) []SiteDay {
	out := make([]SiteDay, 0, r.Len())
	gap := 0
	for i := range r.Len() {
		day := s.at(r.First + civil.Date(i))
		if day.Substitute || day.Station == "" {
			gap++
		} else {
			gap = 0
		}
		if day.Substitute && gap > s.MaxGapDays {
			day = noReading(day.Day.Date)
		}
		out = append(out, day)
	}
	return out
}

// at gives the first usable reading of a day in the order of rank.
func (s Site) at(date civil.Date) SiteDay {
	for rank, series := range s.Ranked {
		d, ok := series.on(date)
		if !ok || !s.Need.servedBy(d) {
			continue
		}
		out := SiteDay{Station: series.Station, ErrSDC: series.ErrSDC, Substitute: rank > 0}
		if out.Substitute {
			out.Doubt = AltitudeDoubt(series.ErrSDC)
		}
		fromM := series.AltitudeM
		if series.Stead != nil && out.Substitute && !math.IsNaN(s.Ranked[0].AltitudeM) {
			d, fromM = series.Stead.Carry(d), s.Ranked[0].AltitudeM
			out.Doubt = series.Stead.Doubt(date)
			out.ErrSDC = out.Doubt.SDK()
		}
		out.Day = Adjust(d, fromM, s.AltitudeM)
		if !s.Need.servedBy(out.Day) { // an altitude is not known
			continue
		}
		return out
	}
	return noReading(date)
}

func noReading(date civil.Date) SiteDay {
	return SiteDay{Day: Missing(date), ErrSDC: math.NaN()}
}

func (s Series) on(date civil.Date) (Day, bool) {
	// Series have few holes: the day is mostly where it is without any.
	if len(s.Days) > 0 {
		if i := int(date - s.Days[0].Date); i >= 0 && i < len(s.Days) && s.Days[i].Date == date {
			return s.Days[i], true
		}
	}
	i, ok := slices.BinarySearchFunc(s.Days, date, func(d Day, date civil.Date) int { return cmp.Compare(d.Date, date) })
	if !ok {
		return Day{}, false
	}
	return s.Days[i], true
}

// servedBy reports whether the day is usable and holds what is needed.
func (n Need) servedBy(d Day) bool {
	if n == NeedExtremes {
		return d.Mark == Usable && !math.IsNaN(d.MinC) && !math.IsNaN(d.MaxC)
	}
	_, _, ok := d.Mean()
	return ok
}

// ErrorSDC is the error we state for a station's daily mean temperature standing
// for a site's where nothing but altitude is corrected for: one standard
// deviation in K. 1.5 K beside each other and 3 K for each km of altitude
// difference, added as independent errors, are what the six stations of Hubbard
// Brook (253 to 891 m, a few km apart, 1955–2024; USDA Forest Service, EDI
// knb-lter-hbr.59) differ by in spring: 1.9 K over their 30 pairs, from 1.4 to
// 2.9 K. The 0.02 K for each km apart is our assumption. Where two stations
// were seen side by side, a Stead states it instead.
func ErrorSDC(distanceKm, altitudeDifferenceM float64) float64 {
	return math.Sqrt(1.5*1.5 + sq(0.02*distanceKm) + sq(0.003*altitudeDifferenceM))
}

func sq(x float64) float64 { return x * x }
