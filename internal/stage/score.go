package stage

import (
	"math"
	"slices"
	"time"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/trail"
)

// ScoredLeads is how many days before the reported day a forecast is looked
// up and scored: the one issued on that very day, if there was one.
var ScoredLeads = []int{56, 42, 28, 21, 14, 7, 3}

// Score is how one issued forecast did, now that its stage was seen.
type Score struct {
	Code   BBCH
	Lead   int        // days from its issue to Seen
	Issued civil.Date // the day on which it was issued; its row may be older
	NotYet civil.Date // last visit that didn't find the stage; zero where nobody had looked before
	Seen   civil.Date // the reported day: that of the visit that found it

	// ErrorDays is its median less the nearest day on which the stage may have
	// been reached: 0 is among these, above 0 late; NaN where the median lies
	// beyond the year.
	ErrorDays float64
	CRPS      float64 // days, over those of which visits tell (ensemble.CRPSBetween)
	PIT       ensemble.PIT

	// The baselines, issued the same day and cut at the same visit, in days;
	// NaN where there are no past dates.
	CRPSMeanDate, CRPSRegression float64
	Past                         int   // past dates that they are made of
	Basis                        Basis // where these are from
}

// Run is the number of days on which the stage may have been reached: after
// the last visit that didn't find it, up to the one that did. It is 0 where
// nobody had looked before.
func (s Score) Run() int {
	if s.NotYet == 0 {
		return 0
	}
	return int(s.Seen - s.NotYet)
}

// Inside80 is the share of what was seen that lies between the forecast's P10
// and P90.
func (s Score) Inside80() float64 { return s.PIT.Inside(0.1, 0.9) }

// Scoring is a site's season as it is scored.
type Scoring struct {
	Stages  []Stage
	Season  int
	Today   civil.Date     // nothing of a later day counts
	Zone    *time.Location // in which days are counted
	Record  Record
	Reports []trail.Report         // of the season
	Before  map[int][]trail.Report // past seasons' reports of the site, by year
	Means   []ensemble.Mean        // of the site, past years' and this one's, sorted by date
}

// Scores scores the issued forecasts of every stage that was itself reported
// seen; a stage that was only passed by a later one has no day. What is seen is
// a run of days, since the last visit that didn't find the stage: a forecast
// isn't held to a day that nobody knows. After daily visits the run is one day.
//
// What was forecast beyond the year's end counts as the last day of it. A
// forecast that was cut at a sight which has been taken back since is left out:
// it was no forecast.
func Scores(in Scoring) []Score {
	known := in.known(in.Today)
	means := meansByDate(in.Means)
	var out []Score
	for _, st := range in.Stages {
		b := BoundsOf(known, st.Code)
		if b.Seen == 0 || !seenItself(known, st.Code) {
			continue
		}
		if b.NotYet >= b.Seen {
			b.NotYet = b.Seen - 1
		}
		base := in.baseline(st, means)
		for _, lead := range ScoredLeads {
			if s, ok := in.score(st.Code, b, lead, base); ok {
				out = append(out, s)
			}
		}
	}
	return out
}

// known gives the reports that had come by the end of a day, of that day or
// earlier ones.
func (in Scoring) known(day civil.Date) []trail.Report {
	return slices.DeleteFunc(slices.Clone(in.Reports), func(r trail.Report) bool {
		return r.Day > day || civil.At(r.At.In(in.Zone)) > day
	})
}

// SeenAny reports whether any stage was reported seen, so that there may be
// something to score.
func SeenAny(reports []trail.Report) bool {
	return slices.ContainsFunc(reports, func(r trail.Report) bool { return r.Kind == trail.StageSeen })
}

func seenItself(reports []trail.Report, code BBCH) bool {
	return slices.ContainsFunc(standing(reports), func(r trail.Report) bool {
		return r.Kind == trail.StageSeen && BBCH(r.BBCH) == code
	})
}

func (in Scoring) score(code BBCH, b Bounds, lead int, base baseline) (Score, bool) {
	day := b.Seen - civil.Date(lead)
	f, ok := in.Record.On(code, day)
	visits := BoundsOf(in.known(day), code)
	if !ok || visits.Seen != 0 {
		return Score{}, false
	}
	d, first := throughYear(f.Days, in.Season), civil.Of(in.Season, time.January, 1)
	after, median := max(b.NotYet, first-1), d.DaysTo(0.5)
	s := Score{
		Code: code, Lead: lead, Issued: day, NotYet: b.NotYet, Seen: b.Seen,
		ErrorDays: median - min(max(median, float64(after+1-first)), float64(b.Seen-first)),
		CRPS:      ensemble.CRPSBetween(d, after, b.Seen), PIT: ensemble.PITOf(d, after, b.Seen),
		CRPSMeanDate: math.NaN(), CRPSRegression: math.NaN(), Past: len(base.dates), Basis: base.basis,
	}
	if math.IsInf(s.ErrorDays, 1) {
		s.ErrorDays = math.NaN()
	}
	if mean, regression, ok := base.issued(in.Season, day); ok {
		s.CRPSMeanDate = ensemble.CRPSBetween(Truncate(mean, visits), after, b.Seen)
		s.CRPSRegression = ensemble.CRPSBetween(Truncate(regression, visits), after, b.Seen)
	}
	return s, true
}

// throughYear is a distribution from 1 January to 31 December of its season,
// so that one that never gets there pays for every day.
func throughYear(d ensemble.Days, season int) ensemble.Days {
	first := civil.Of(season, time.January, 1)
	out := ensemble.Days{From: first}
	for day := first; day < civil.Of(season+1, time.January, 1); day++ {
		out.By = append(out.By, d.On(day))
	}
	return out
}
