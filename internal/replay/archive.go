package replay

import (
	"bytes"
	"cmp"
	"context"
	"math"
	"slices"
	"time"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/postgres"
	"budcall/internal/stage"
)

// Issued is a forecast that differs from the one before it of the same stage.
type Issued struct {
	Site   string
	Season int
	postgres.Issued
	First civil.Date // with Live the distribution as it is stored
	Live  []byte
}

// archive is the forecasts and scores that are kept; nothing of them is where
// keep is false.
type archive struct {
	keep    bool
	kept    Kept
	newest  map[track]int // place in kept.Issued
	marked  map[siteYear]map[civil.Date]bool
	without map[siteYear]map[civil.Date]bool // days on which the site couldn't be forecast
	through map[siteYear]int64
}

// track is a stage of a site's season.
type track struct {
	of   siteYear
	code stage.BBCH
}

func newArchive(keep bool) archive {
	return archive{
		keep: keep, kept: Kept{Scores: map[string][]stage.Score{}}, newest: map[track]int{},
		marked: map[siteYear]map[civil.Date]bool{}, without: map[siteYear]map[civil.Date]bool{}, through: map[siteYear]int64{},
	}
}

func mark(in map[siteYear]map[civil.Date]bool, of siteYear, day civil.Date) {
	if in[of] == nil {
		in[of] = map[civil.Date]bool{}
	}
	in[of][day] = true
}

// SaveIssued keeps a stage's forecast as issued on a day; one that doesn't
// differ from the last one isn't kept again.
func (a *archive) SaveIssued(_ context.Context, site string, year int, code stage.BBCH, on civil.Date, d ensemble.Days) error {
	if !a.keep {
		return nil
	}
	of := siteYear{site, year}
	mark(a.marked, of, on)
	i := Issued{Site: site, Season: year, Issued: postgres.Issued{Code: code, On: on}}
	i.First, i.Live = postgres.EncodeDays(d)
	at, known := a.newest[track{of, code}]
	if known && a.kept.Issued[at].First == i.First && bytes.Equal(a.kept.Issued[at].Live, i.Live) {
		return nil
	}
	i.Days = postgres.DecodeDays(i.First, i.Live)
	i.P10, _ = i.Days.Quantile(0.1)
	i.P50, _ = i.Days.Quantile(0.5)
	i.P90, _ = i.Days.Quantile(0.9)
	if known && a.kept.Issued[at].On == on {
		a.kept.Issued[at] = i
		return nil
	}
	a.newest[track{of, code}] = len(a.kept.Issued)
	a.kept.Issued = append(a.kept.Issued, i)
	return nil
}

// NotIssued keeps that a site couldn't be forecast on a day.
func (a *archive) NotIssued(_ context.Context, site string, on civil.Date) error {
	if a.keep {
		mark(a.marked, siteYear{site, on.Year()}, on)
		mark(a.without, siteYear{site, on.Year()}, on)
	}
	return nil
}

// Record gives everything that was issued for a site in a season.
func (a *archive) Record(_ context.Context, site string, year int, _ *time.Location) (stage.Record, error) {
	of := siteYear{site, year}
	r := stage.Record{Marked: map[civil.Date]bool{}}
	for day := range a.marked[of] {
		if !a.without[of][day] {
			r.Marked[day] = true
		}
	}
	for _, i := range a.kept.Issued {
		if i.Site == site && i.Season == year {
			r.Issued = append(r.Issued, stage.Issued{Code: i.Code, On: i.On, Days: i.Days})
			r.Marked[i.On] = true
		}
	}
	slices.SortStableFunc(r.Issued, func(a, b stage.Issued) int { return cmp.Or(cmp.Compare(a.On, b.On), cmp.Compare(a.Code, b.Code)) })
	return r, nil
}

// ScoredThrough gives the report up to which a site's season has been scored.
// Where nothing is kept, nothing is to be scored.
func (a *archive) ScoredThrough(_ context.Context, site string, year int) (int64, error) {
	if !a.keep {
		return math.MaxInt64, nil
	}
	return a.through[siteYear{site, year}], nil
}

// SaveScores puts the scores of a site's season in the place of those before.
func (a *archive) SaveScores(_ context.Context, site string, year int, through int64, scores []stage.Score) error {
	a.through[siteYear{site, year}] = through
	a.kept.Scores[site] = scores
	return nil
}
