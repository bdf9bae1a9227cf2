package advance

import (
	"context"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/ensemble"
)

// Foresight is a Reader that still knows which short-range forecasts were
// issued. Where it doesn't, their error is assumed.
type Foresight interface {
	// Foretold gives the daily means of a site's forecasts that were issued in a
	// range of days, of each of its days (in the site's zone) the last one issued;
	// what came isn't filled in.
	Foretold(ctx context.Context, site config.Site, issued civil.Range) ([]ensemble.Came, error)
}

// fewestVerified is how many days of a lead must have been compared before its
// error is learned.
const fewestVerified = 30

// misses learns the error of a site's short-range forecasts from those issued
// in the spring before (March to June), by what the site's first station read.
// The running year's aren't looked at, so that what is learned stays as it is
// all season.
func (l *lore) misses(ctx context.Context, r Reader, t Task, read []ensemble.Mean) error {
	f, ok := r.(Foresight)
	if !ok || t.Site.Forecast == "" {
		return nil
	}
	year := t.today().Year() - 1
	came, err := f.Foretold(ctx, t.Site, civil.Range{First: civil.Of(year, 3, 1), Last: civil.Of(year, 6, 30)})
	if err != nil {
		return err
	}
	observed := map[civil.Date]float64{}
	for _, m := range read {
		observed[m.Date] = m.MeanC
	}
	verified := map[int][]ensemble.Came{}
	for _, c := range came {
		if o, ok := observed[c.Date]; ok {
			c.ObservedC = o
			lead := int(c.Date - c.Issued)
			verified[lead] = append(verified[lead], c)
		}
	}
	var enough []ensemble.Came
	for lead := range 10 {
		if of := verified[lead]; len(of) >= fewestVerified {
			enough = append(enough, of...)
		}
	}
	if len(enough) > 0 {
		l.foreErrs = ensemble.LearnErrors(enough)
	}
	return nil
}
