package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"budcall/internal/advance"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/notice"
	"budcall/internal/postgres"
	"budcall/internal/season"
	"budcall/internal/stage"
	"budcall/internal/weather"
)

// previewWithin is how long working out a preview may take: whoever proposes a
// change waits for it. Ten springs take about five seconds on two cores.
var previewWithin = 8 * time.Second

// springsShown is over how many past springs a preview looks back.
const springsShown = 10

// Springs plays past springs of a site with its settings as they are and as
// they would be. It ends when ctx does, with what was played until then.
type Springs func(ctx context.Context, ask SpringsAsk) (notice.Springs, error)

// SpringsAsk is which springs are played.
type SpringsAsk struct {
	Site    config.Site // as it is
	After   season.Settings
	Trees   int
	Profile stage.Profile
	Station config.Station    // whose years they are
	MeansC  map[int][]float64 // daily means by year, from 1 January; NaN: no reading
	Most    int               // springs
}

// preview works out what a change would do, as far as the time reaches.
func (d *desk) preview(ctx context.Context, f siteFile, after *config.Programme, changed []config.Changed) (p notice.Preview) {
	ctx, cancel := context.WithTimeout(ctx, previewWithin)
	defer cancel()
	p.Changed = changed
	if len(changed) == 0 {
		return p
	}
	changedSite, _ := after.Site(f.site.Code)
	if err := d.today(ctx, f, after, &p); err != nil {
		p.Unknown, p.Days, p.Mails = true, nil, 0
		d.log.InfoContext(ctx, "what a change of a site does today can't be told", "site", f.site.Code, "error", err)
	}
	if changedSite.Settings == f.site.Settings {
		p.Springs.Nothing = true
		return p
	}
	springs, err := d.past(ctx, f, changedSite.Settings)
	if err != nil {
		springs = notice.Springs{Late: ctx.Err() != nil, Unfit: ctx.Err() == nil}
		d.log.InfoContext(ctx, "past springs of a site aren't replayed", "site", f.site.Code, "error", err)
	}
	p.Springs = springs
	return p
}

// today holds the calls that a decision now would make against those it would
// make with the change.
func (d *desk) today(ctx context.Context, f siteFile, after *config.Programme, p *notice.Preview) error {
	now, err := d.conf.now(ctx)
	if err != nil {
		return err
	}
	changed, _ := after.Site(f.site.Code)
	var before, with advance.Verdict
	err = d.db.Read(ctx, func(book *postgres.Book) error {
		if before, err = verdict(ctx, book, f.programme, f.site, now); err != nil {
			return err
		}
		with, err = verdict(ctx, book, after, changed, now)
		return err
	})
	if err != nil {
		return err
	}
	for _, task := range call.Tasks {
		a, b := before.Outcome.Calls[task], with.Outcome.Calls[task]
		if a.Days != b.Days && !(a.Standing.Ended() && b.Standing.Ended()) {
			p.Days = append(p.Days, notice.MovedDays{Task: task, Before: a.Days, After: b.Days})
		}
	}
	p.Mails = differing(before, with)
	return nil
}

// verdict is what a decision now makes of a site; it is stored nowhere.
func verdict(ctx context.Context, book *postgres.Book, p *config.Programme, site config.Site, now time.Time) (advance.Verdict, error) {
	return advance.Site(ctx, book, advance.Task{
		Programme: p, Site: site, Now: now, Evening: true,
		Link: func(string, string, call.Task, int, civil.Date) (string, civil.Date) { return "", 0 },
	})
}

// differing counts what would be told otherwise: to whom, of what, how it stands
// and on which days.
func differing(before, after advance.Verdict) int {
	told := func(v advance.Verdict) map[string]string {
		out := map[string]string{}
		for i, o := range v.Outcome.Owed {
			days := v.Items[i].Days
			out[fmt.Sprintf("%s %s", o.Person, o.Task)] = fmt.Sprintf("%s %s %s %s", v.Items[i].Standing, v.Items[i].Reason, days.First, days.Last)
		}
		return out
	}
	a, b := told(before), told(after)
	n := 0
	for key, said := range a {
		if b[key] != said {
			n++
		}
	}
	for key := range b {
		if _, both := a[key]; !both {
			n++
		}
	}
	return n
}

// past plays past springs of a site on the years of its first station that has
// any.
func (d *desk) past(ctx context.Context, f siteFile, after season.Settings) (notice.Springs, error) {
	if d.springs == nil {
		return notice.Springs{}, errors.New("this program has nothing to replay them with")
	}
	now, err := d.conf.now(ctx)
	if err != nil {
		return notice.Springs{}, err
	}
	ask := SpringsAsk{Site: f.site, After: after, Profile: f.programme.Profiles[f.site.Profile], Most: springsShown}
	for _, t := range f.site.Trees {
		if !t.Gone {
			ask.Trees++
		}
	}
	year := now.In(f.site.Zone).Year()
	const longest = 60 // years; more is never looked at
	for _, code := range f.site.Stations {
		ask.Station, _ = f.programme.Station(code)
		err := d.db.Read(ctx, func(book *postgres.Book) error {
			days, err := book.History(ctx, code, year-longest, year-1)
			ask.MeansC = yearlyMeans(days)
			return err
		})
		if err != nil {
			return notice.Springs{}, err
		}
		if len(ask.MeansC) > 0 {
			return d.play(ctx, ask)
		}
	}
	return notice.Springs{}, fmt.Errorf("no station of %s has a past year: %s", f.site.Code, strings.Join(f.site.Stations, ", "))
}

// play plays past springs once no other preview does.
func (d *desk) play(ctx context.Context, ask SpringsAsk) (notice.Springs, error) {
	select {
	case d.playing <- struct{}{}:
		defer func() { <-d.playing }()
		return d.springs(ctx, ask)
	case <-ctx.Done():
		return notice.Springs{}, ctx.Err()
	}
}

// yearlyMeans gives usable daily means by year, from 1 January; NaN where there
// is none. Years without any are left out.
func yearlyMeans(days []weather.Day) map[int][]float64 {
	out := map[int][]float64{}
	for _, d := range days {
		mean, _, usable := d.Mean()
		if !usable {
			continue
		}
		year := d.Date.Year()
		if out[year] == nil {
			n := int(civil.Of(year, time.December, 31)-civil.Of(year, time.January, 1)) + 1
			out[year] = slices.Repeat([]float64{math.NaN()}, n)
		}
		out[year][d.Date-civil.Of(year, time.January, 1)] = mean
	}
	return out
}
