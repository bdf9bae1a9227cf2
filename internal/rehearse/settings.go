package rehearse

import (
	"errors"
	"fmt"
	"slices"

	"budcall/internal/civil"
)

// BBCH codes that the trial needs by name.
const (
	Swelling  = 1
	BudBreak  = 7
	Flowering = 60
	FlowerEnd = 69 // flowering over in the district
	SeedRipe  = 89
)

// Stage is what the truth takes from a profile's stage.
type Stage struct {
	Code     int // BBCH
	BaseC    float64
	Start    civil.MonthDay
	MedianCd float64 // °C·d by which half of the trees are there
	LogSD    float64 // of the need, natural log
}

// Shares are the parts of the need's variance; they add up to 1.
type Shares struct {
	Site, Tree, Year, Residual float64
}

// Settings are the conditions of a trial.
type Settings struct {
	Seed            uint64
	Trees           int // at each site
	SitesPerStation int
	Stages          []Stage
	Shares          Shares
	Heat            TrueHeat // what the trees follow
	TreesAboveM     float64  // metres by which the trees stand above the station
	TreesApartDays  int      // days between a site's first and last tree, beside what is drawn
	ShedAfterCd     float64  // °C·d from ripe to shed
	SilentShare     float64  // of the leads of a season, who never answer
	WeekendsOnly    bool     // people are free at weekends only
	Limits          Limits
	EarlyPerLost    float64 // trees bagged too early that weigh as one lost, when plans are tuned
	TripCost        float64 // what a trip for seed weighs, in shares of trees not picked ripe, when plans are tuned
}

// Usual gives the trial's usual settings for a profile's stages: ten trees at
// one site a station, variance 30/20/30/20 %, 5 % silent leads.
func Usual(stages []Stage) Settings {
	return Settings{
		Seed: 1, Trees: 10, SitesPerStation: 1, Stages: stages,
		Shares:      Shares{Site: 0.3, Tree: 0.2, Year: 0.3, Residual: 0.2},
		Heat:        OfProfile,
		ShedAfterCd: 100, SilentShare: 0.05,
		Limits:       Limits{MaxLeadDays: 28, MaxOnDays: 21},
		EarlyPerLost: 3,
		TripCost:     0.1, // at which the tuned plans go 2.4 times for seed; our assumption
	}
}

// Check lists all that is wrong with the settings, each with what to do.
func (s Settings) Check() error {
	var errs []error
	wrong := func(bad bool, format string, args ...any) {
		if bad {
			errs = append(errs, fmt.Errorf(format, args...))
		}
	}
	for _, code := range []int{Swelling, BudBreak, Flowering, FlowerEnd, SeedRipe} {
		_, ok := s.stage(code)
		wrong(!ok, "the profile has no stage %02d: rehearse a profile with stages 01, 07, 60, 69 and 89", code)
	}
	for i, st := range s.Stages {
		wrong(i > 0 && st.Code <= s.Stages[i-1].Code, "stage %02d stands after %02d: list the stages once each, by rising code", st.Code, s.Stages[max(0, i-1)].Code)
		wrong(!(st.MedianCd > 0) || !(st.LogSD >= 0), "stage %02d needs %g °C·d with log SD %g: give a median above 0 and an SD of 0 or more", st.Code, st.MedianCd, st.LogSD)
	}
	sh := s.Shares
	sum := sh.Site + sh.Tree + sh.Year + sh.Residual
	wrong(min(sh.Site, sh.Tree, sh.Year, sh.Residual) < 0 || sum < 0.999 || sum > 1.001, "shares of variance add up to %g: give four that are not negative and add up to 1", sum)
	wrong(s.Trees < 1 || s.Trees > 10_000, "%d trees: give 1 to 10000", s.Trees)
	wrong(s.SitesPerStation < 1, "%d sites a station: give 1 or more", s.SitesPerStation)
	wrong(!(s.SilentShare >= 0 && s.SilentShare <= 1), "share of silent leads %g: give one between 0 and 1", s.SilentShare)
	wrong(!slices.Contains(TrueHeats, s.Heat), "trees follow an unknown heat %q: give one of %q", s.Heat, TrueHeats)
	wrong(!(s.ShedAfterCd > 0), "shed %g °C·d after ripeness: give more than 0", s.ShedAfterCd)
	wrong(s.TreesApartDays < 0 || s.TreesApartDays > 60, "trees %d days apart: give 0 to 60", s.TreesApartDays)
	wrong(s.Limits.MaxLeadDays < 1 || s.Limits.MaxOnDays < 0, "bags at most %d days before flowering and %d after it: give 1 or more and 0 or more", s.Limits.MaxLeadDays, s.Limits.MaxOnDays)
	wrong(!(s.TripCost >= 0), "a trip weighs %g of the trees: give 0 or more", s.TripCost)
	wrong(!(s.EarlyPerLost > 0), "%g trees bagged early per lost one: give more than 0", s.EarlyPerLost)
	return errors.Join(errs...)
}

// stage gives a stage by its code.
func (s Settings) stage(code int) (Stage, bool) {
	i := slices.IndexFunc(s.Stages, func(st Stage) bool { return st.Code == code })
	if i < 0 {
		return Stage{}, false
	}
	return s.Stages[i], true
}
