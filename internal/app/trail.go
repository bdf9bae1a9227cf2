package app

import (
	"context"
	"fmt"

	"budcall/internal/civil"
	"budcall/internal/postgres"
	"budcall/internal/trail"
)

// Followed is a season's trail, and the codes that are known in it.
type Followed struct {
	trail.Trail
	Directory *trail.Directory
	Today     civil.Date
}

// Trail gives every tree, bag and lot of a season as they stand, each with its
// history; season 0 is this year's.
func (b *Beside) Trail(ctx context.Context, season int) (f Followed, err error) {
	now, err := b.Now(ctx)
	if err != nil {
		return f, err
	}
	f.Today = civil.At(now.In(b.programme.Zone))
	if season == 0 {
		season = f.Today.Year()
	}
	err = b.db.Read(ctx, func(book *postgres.Book) error {
		e := trail.Events{Season: season, Today: f.Today}
		for _, site := range b.programme.Sites {
			for _, t := range site.Trees {
				e.Trees = append(e.Trees, trail.Planted{
					Site: site.Code, Tree: t, MinSelfing: site.Settings.MinSelfing, MinControl: site.Settings.MinControl, LotDays: site.Settings.LotDays,
				})
			}
			reports, err := book.Reports(ctx, site.Code, season)
			if err != nil {
				return err
			}
			e.Reports = append(e.Reports, reports...)
		}
		var err error
		if e.Entries, err = book.Entries(ctx, season); err != nil {
			return err
		}
		f.Trail = trail.Fold(e)
		f.Directory = trail.NewDirectory(e.Trees, trail.Aliases(e.Entries), f.Codes()...)
		return nil
	})
	return f, err
}

// Follow recognises a code as somebody wrote it and gives the trail of the
// season that it belongs to: its own, else the one named, else this year's. The
// error of a code that isn't known is *trail.Unknown.
func (b *Beside) Follow(ctx context.Context, written string, season int) (f Followed, c trail.Code, how trail.How, err error) {
	if f, err = b.Trail(ctx, season); err != nil {
		return f, c, "", err
	}
	if c, how, err = f.Directory.Find(written); err != nil {
		return f, c, "", err
	}
	own := c.Season
	if c.What() == trail.Unplaced {
		if own, err = b.seasonOf(ctx, c); err != nil {
			return f, c, "", err
		}
	}
	if own != 0 && own != f.Season {
		f, err = b.Trail(ctx, own)
	}
	return f, c, how, err
}

// seasonOf gives the season under which something unplaced was received.
func (b *Beside) seasonOf(ctx context.Context, c trail.Code) (season int, err error) {
	err = b.db.Read(ctx, func(book *postgres.Book) error {
		e, found, err := book.Entry(ctx, c.Number)
		if err == nil && (!found || e.Kind != trail.LabReceived || e.Subject != "") {
			err = fmt.Errorf("nothing unplaced has the code %s: `budcall lots` lists what is", c)
		}
		season = e.Season
		return err
	})
	return season, err
}

// Lot gives a lot of the season by tree and kind; nil where there is none.
func (f Followed) Lot(tree string, k trail.BagKind) *trail.Lot {
	for _, l := range f.Lots {
		if l.Tree == tree && l.Kind == k {
			return l
		}
	}
	return nil
}

// Tree gives the trail of a tree, by its code without check character.
func (f Followed) Tree(base string) *trail.TreeTrail {
	for _, t := range f.Trees {
		if trail.Base(t.Tree.Code) == base {
			return t
		}
	}
	return nil
}

// Waiting gives unplaced seed by the code under which it waits.
func (f Followed) Waiting(code string) *trail.UnplacedSeed {
	for _, u := range f.Trail.Unplaced {
		if u.Code == code {
			return u
		}
	}
	return nil
}

// KnowsSite is an error where the configuration has no site of that code; the
// empty code means any.
func (b *Beside) KnowsSite(code string) error {
	if code == "" {
		return nil
	}
	_, err := b.site(code)
	return err
}
