package app

import (
	"context"
	"slices"

	"budcall/internal/advance"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/postgres"
	"budcall/internal/sheet"
)

// SeasonReport gives everything that is stored of a season, to be written as a
// page and as tables; season 0 is this year's. Sites that the configuration no
// longer names are in it under their codes.
func (b *Beside) SeasonReport(ctx context.Context, season int, version string) (s sheet.Season, err error) {
	now, err := b.Now(ctx)
	if err != nil {
		return s, err
	}
	if season == 0 {
		season = civil.At(now.In(b.programme.Zone)).Year()
	}
	s = sheet.Season{
		Programme: b.programme.Name, Year: season, At: now.In(b.programme.Zone), Lang: b.lang(), Version: version, People: map[string]string{},
	}
	for _, p := range b.programme.People {
		s.People[p.Code] = p.Name
	}
	followed, err := b.Trail(ctx, season)
	if err != nil {
		return s, err
	}
	s.Trail = followed.Trail
	err = b.db.Read(ctx, func(book *postgres.Book) error {
		stored, err := book.SeasonSites(ctx, season)
		if err != nil {
			return err
		}
		for _, site := range withStored(b.programme, stored) {
			of, err := seasonSite(ctx, book, b.programme, site, season)
			if err != nil {
				return err
			}
			s.Sites = append(s.Sites, of)
		}
		return nil
	})
	return s, err
}

// lang is the language of a season's report: the coordinator's.
func (b *Beside) lang() string {
	who, _ := b.programme.Person(b.programme.Coordinator)
	return who.Lang
}

// withStored gives the configured sites and, after them, those that are only
// stored.
func withStored(p *config.Programme, stored []string) []config.Site {
	sites := slices.Clone(p.Sites)
	for _, code := range stored {
		if _, known := find(sites, func(s config.Site) bool { return s.Code == code }); !known {
			sites = append(sites, config.Site{Code: code, Zone: p.Zone})
		}
	}
	return sites
}

func seasonSite(ctx context.Context, book *postgres.Book, p *config.Programme, site config.Site, year int) (sheet.SeasonSite, error) {
	out := sheet.SeasonSite{Code: site.Code, Name: site.Name, Zone: site.Zone}
	calls, err := book.Calls(ctx, site.Code, year)
	if err != nil {
		return out, err
	}
	for _, task := range call.Tasks {
		s, ok := calls[task]
		if !ok {
			continue
		}
		with, _ := advance.Holder(p, site, task, s)
		out.Calls = append(out.Calls, sheet.SeasonCall{Task: task, Standing: s.Standing, Reason: s.Reason, Days: s.Days, Since: s.Since, With: with})
	}
	changes, err := book.Changes(ctx, site.Code, year)
	if err != nil {
		return out, err
	}
	for _, c := range changes {
		out.Changes = append(out.Changes, sheet.SeasonChange(c))
	}
	told, err := book.AllTold(ctx, site.Code, year)
	if err != nil {
		return out, err
	}
	for _, t := range told {
		out.Told = append(out.Told, sheet.SeasonTold(t))
	}
	if out.Reports, err = book.Reports(ctx, site.Code, year); err != nil {
		return out, err
	}
	issued, err := book.Issued(ctx, site.Code, year)
	if err != nil {
		return out, err
	}
	for _, f := range issued {
		out.Issued = append(out.Issued, sheet.SeasonForecast{Code: f.Code, On: f.On, P10: f.P10, P50: f.P50, P90: f.P90})
	}
	out.Scores, err = book.Scores(ctx, site.Code, year)
	return out, err
}
