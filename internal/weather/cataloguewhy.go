package weather

import (
	"fmt"
	"math"
	"strings"
)

// why gives the advice's reason as one sentence, without its end. Doubts are
// told of stations that would do.
func (c Catalogue) why(r Ranked) string {
	s := c.Candidates[r.Index]
	at := fmt.Sprintf("its days stand for the site's to within %.2f K (%s)", r.ErrSDC, c.apart(r))
	switch r.Advice {
	case PastOnly:
		return fmt.Sprintf("it measures no more%s (%s)", s.since(), c.apart(r))
	case SamePlace:
		return fmt.Sprintf("it stands where number %d does and is probably the same thermometer, so it can't fill that one's gaps", r.SameAs+1)
	case TooFar:
		return fmt.Sprintf("beyond %d km or %d m of altitude a station says little of the site (%s)", farKm, farHighM, c.apart(r))
	case Take:
		at = "of those that measure today it has the least error: " + at
	case Substitute:
		at = "it fills in where the first has no reading: " + at
	default:
		at = "others are better: " + at
	}
	if merits := c.merits(r, s); merits != "" {
		at += "; " + merits
	}
	for _, doubt := range c.doubts(r, s) {
		at += "; " + doubt
	}
	return at
}

// What is worth a word: our assumptions.
const (
	nearKm      = 15
	sameHeightM = 50
	longYears   = 30
	wholeShare  = 0.98
	littleShare = 0.9
)

// merits says what speaks for the station.
func (c Catalogue) merits(r Ranked, s Candidate) string {
	var all []string
	if r.DistanceKm <= nearKm {
		all = append(all, "near")
	}
	if math.Abs(r.HigherM) <= sameHeightM {
		all = append(all, "at the site's height")
	}
	if s.Years >= longYears {
		all = append(all, fmt.Sprintf("long (%.0f years)", math.Floor(s.Years)))
	}
	if s.Share >= wholeShare {
		all = append(all, "complete (hardly a day is missing)")
	}
	if !s.Ended && (!math.IsNaN(s.Years) || s.Thermometer) {
		all = append(all, "still reporting")
	}
	return strings.Join(all, ", ")
}

// apart says how far the station is and how much higher.
func (c Catalogue) apart(r Ranked) string {
	text := Kilometres(r.DistanceKm) + " away"
	switch higher := math.Round(r.HigherM); {
	case math.IsNaN(higher):
	case higher > 0:
		text += fmt.Sprintf(", %.0f m higher", higher)
	case higher < 0:
		text += fmt.Sprintf(", %.0f m lower", -higher)
	default:
		text += ", at the same altitude"
	}
	return text
}

// Kilometres writes a distance for people: to 100 m below 10 km.
func Kilometres(km float64) string {
	if km < 9.95 {
		return fmt.Sprintf("%.1f km", km)
	}
	return fmt.Sprintf("%.0f km", km)
}

func (s Candidate) since() string {
	if s.Last.IsZero() {
		return ""
	}
	return ", since " + s.Last.String()
}

// doubts says what was counted against the station, and what wasn't known.
func (c Catalogue) doubts(r Ranked, s Candidate) (all []string) {
	if math.IsNaN(r.HigherM) && !math.IsNaN(c.Site.AltitudeM) {
		all = append(all, fmt.Sprintf("its altitude isn't known and counts as %d m apart", unknownHeightM))
	}
	switch years := math.Floor(s.Years); {
	case math.IsNaN(s.Years):
		all = append(all, fmt.Sprintf("its years aren't known and count as %d", unknownYears))
	case years < 2:
		all = append(all, "it has less than two years of past, which say nothing of a usual spring")
	case years < unknownYears:
		all = append(all, fmt.Sprintf("it has only %.0f years of past, which say little of a usual spring", years))
	}
	if s.Share < littleShare {
		all = append(all, fmt.Sprintf("%.0f %% of its days are missing", 100*(1-s.Share)))
	}
	if !s.Thermometer {
		all = append(all, "nothing here says that it measures temperature: look before you take it")
	}
	return all
}
