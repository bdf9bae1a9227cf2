package app

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/postgres"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// Season gives every report and answer of a season, site by site, oldest
// first; season 0 is this year's.
func (b *Beside) Season(ctx context.Context, season int) (all []trail.Report, err error) {
	if season == 0 {
		now, err := b.Now(ctx)
		if err != nil {
			return nil, err
		}
		season = now.In(b.programme.Zone).Year()
	}
	err = b.db.Read(ctx, func(book *postgres.Book) error {
		for _, site := range b.programme.Sites {
			reports, err := book.Reports(ctx, site.Code, season)
			if err != nil {
				return err
			}
			all = append(all, reports...)
		}
		return nil
	})
	return all, err
}

// Completed checks reports as if each were said by command, and fills in the
// call that a kind belongs to. There is an error, or nil, for each. known is
// what was reported before; what a report is held against may also stand among
// those given.
func (b *Beside) Completed(ctx context.Context, reports, known []trail.Report) ([]trail.Report, []error, error) {
	now, err := b.Now(ctx)
	if err != nil {
		return nil, nil, err
	}
	out, errs := make([]trail.Report, len(reports)), make([]error, len(reports))
	for i, r := range reports {
		site, err := b.site(r.Site)
		if err == nil {
			_, err = person(b.programme, r.Person)
		}
		if err == nil {
			err = mayReport(b.programme, site, r.Person, r.Kind)
		}
		if err == nil {
			var others []trail.Report
			if r.Kind == trail.BagsTorn {
				others = ofSite(r.Site, known, reports[:i], reports[i+1:])
			}
			r.Task, err = taskOf(b.programme, site, r, others, civil.At(now.In(site.Zone)))
		}
		out[i], errs[i] = r, err
	}
	return out, errs, nil
}

// ofSite gives the reports of one site, in the order given.
func ofSite(site string, lists ...[]trail.Report) (of []trail.Report) {
	for _, list := range lists {
		for _, r := range list {
			if r.Site == site {
				of = append(of, r)
			}
		}
	}
	return of
}

// taskOf gives the call that a report of a table belongs to, if all is well
// with it. Other than by command, an answer keeps the day on which it was given.
// others is what torn bags are held against.
func taskOf(p *config.Programme, site config.Site, r trail.Report, others []trail.Report, today civil.Date) (string, error) {
	s := Said{
		Site: r.Site, Person: r.Person, Task: call.Task(strings.ReplaceAll(r.Task, "-", " ")), Kind: r.Kind, BBCH: stage.BBCH(r.BBCH),
		Selfing: r.Selfing, Control: r.Control, Day: r.Day, On: r.On,
	}
	if r.Tree != "" {
		s.Trees = []string{r.Tree}
	}
	if r.Day > today {
		return "", fmt.Errorf("%s is still to come, today at %s is %s: give the day on which it was done, seen or said", r.Day, site.Code, today)
	}
	if r.Day.Year() != today.Year() {
		return "", fmt.Errorf("%s isn't of this season, %d: give a day of this year", r.Day, today.Year())
	}
	known := false
	for _, t := range call.Tasks {
		known = known || t == s.Task
	}
	if r.Task != "" && !known {
		return "", fmt.Errorf("there is no call %q: write one of %q in the column call, or nothing", r.Task, call.Tasks)
	}
	if err := s.complete(p, site, today); err != nil {
		return "", err
	}
	if s.Task == "" {
		return "", errors.New("it isn't said which call this is about: write it in the column call, such as bag on")
	}
	return string(s.Task), s.checkTorn(site, others)
}

// Take stores the reports of a table, all or none, and has their sites decided
// anew. The reports must be Completed; known is what was known when they were
// checked, so that the same table again, but not a correction taken back, is
// stored once.
func (b *Beside) Take(ctx context.Context, reports, known []trail.Report) (stored bool, err error) {
	if len(reports) == 0 {
		return false, nil
	}
	now, err := b.Now(ctx)
	if err != nil {
		return false, err
	}
	var last int64
	for _, k := range known {
		last = max(last, k.ID)
	}
	body, err := json.Marshal(reports)
	if err != nil {
		return false, fmt.Errorf("encoding reports: %w", err)
	}
	sum := sha256.Sum256(fmt.Appendf(body, " %d", last))
	key := "table-" + hex.EncodeToString(sum[:16])
	var sites []string
	seen := map[string]bool{}
	for i := range reports {
		reports[i].At = now
		reports[i].Way = cmp.Or(reports[i].Way, "table")
		if !seen[reports[i].Site] {
			seen[reports[i].Site] = true
			sites = append(sites, reports[i].Site)
		}
	}
	e := &engine{db: pgStore{b.db}, programme: func() *config.Programme { return b.programme }}
	return b.db.Report(ctx, key, reports[0].Day.Year(), reports, e.occasion(runReport, key, now, sites))
}
