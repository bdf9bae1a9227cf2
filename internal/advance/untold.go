package advance

import (
	"context"

	"budcall/internal/civil"
	"budcall/internal/notice"
	"budcall/internal/season"
)

// untold gives what is owed since an earlier day and in no letter yet, with the
// days, the odds and the heat of today: they move on while sending is held.
// What is about a call that has ended or stands otherwise by now isn't among it.
func untold(ctx context.Context, r Reader, t Task, g *grounds, f season.Facts, out season.Outcome) ([]notice.Due, error) {
	open, err := r.Untold(ctx, t.Site.Code, g.year)
	if err != nil {
		return nil, err
	}
	var anew []notice.Due
	for _, d := range open {
		standing := out.Calls[d.Item.Task].Standing
		if standing != d.Item.Standing || standing.Ended() || civil.At(d.At.In(t.Site.Zone)) >= t.today() {
			continue
		}
		o := season.Owed{Task: d.Item.Task, Standing: standing, Reason: d.Item.Reason, Person: d.Person, Passed: d.Passed}
		reports := d.Item.Said
		d.Item = item(t, g, f, out, o)
		d.Item.Said = reports
		anew = append(anew, d)
	}
	return anew, nil
}
