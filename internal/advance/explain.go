package advance

import (
	"context"
	"fmt"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
	"budcall/internal/season"
	"budcall/internal/trail"
)

// Account is why a call stands as it does: what is stored of it, and what heat
// and odds say of it now.
type Account struct {
	Season  int
	Today   civil.Date
	State   season.State // as stored
	Why     notice.Why
	Reports []trail.Report // of the site's season, in the order in which they came
}

// Explain gives the account of a call. It stores nothing and owes nothing. An
// *Unfit says that this site can't be forecast.
func Explain(ctx context.Context, r Reader, t Task, task call.Task) (Account, error) {
	g, err := ground(ctx, r, t)
	if err != nil {
		return Account{}, err
	}
	calls, err := r.Calls(ctx, t.Site.Code, g.year)
	if err != nil {
		return Account{}, err
	}
	forecast, err := g.forecastAgain(t)
	if err != nil {
		return Account{}, &Unfit{Site: t.Site.Code, Err: fmt.Errorf("explaining %s: %w", task, err)}
	}
	f := season.Facts{
		Site: seasonSite(t, g.year), Now: t.Now, Day: t.today(), Forecast: forecast.said, Reports: g.reports, Calls: calls,
		Blind: g.blind(t, calls),
	}
	s := calls[task]
	return Account{
		Season: g.year, Today: f.Day, State: s, Reports: g.reports,
		Why: why(t, g, f, task, season.Explain(f, task, s)),
	}, nil
}
