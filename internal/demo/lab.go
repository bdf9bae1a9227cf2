package demo

import (
	"context"
	"fmt"
	"time"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/trail"
)

// What the laboratory of the odd site does, in days after the parcel came.
const (
	placesAfter = 3
	testsAfter  = 20
)

// What it finds: filled seed in a control bag, where own pollen leaked in or
// foreign pollen got through. Counts are invented.
var (
	selfingFilled = trail.Filled{Filled: 46, Tested: 400, Catkins: 8}
	controlFilled = trail.Filled{Filled: 3, Tested: 380, Catkins: 8}
)

// bench is the laboratory's command line: a memory beside the program's.
type bench struct{ options app.Options }

// enter writes one thing into the trail's book.
func (b bench) enter(ctx context.Context, in app.Entering) (app.Entered, error) {
	beside, err := app.Attach(ctx, b.options)
	if err != nil {
		return app.Entered{}, err
	}
	out, err := beside.Enter(ctx, in)
	if err != nil {
		err = fmt.Errorf("entering %q of %v: %w", in.Kind, in.Codes, err)
	}
	if closed := beside.Close(ctx); err == nil {
		err = closed
	}
	return out, err
}

// underWayTo is the lots of a site that are on their way.
func (b bench) underWayTo(ctx context.Context, site string) (lots []*trail.Lot, err error) {
	beside, err := app.Attach(ctx, b.options)
	if err != nil {
		return nil, err
	}
	f, err := beside.Trail(ctx, seasonYear)
	for _, l := range f.Lots {
		if l.Site == site && l.Came == 0 {
			lots = append(lots, l)
		}
	}
	if closed := beside.Close(ctx); err == nil {
		err = closed
	}
	return lots, err
}

// openParcel enters every packet of a parcel by the code on it. On one of them
// two characters of the code are swapped, so that it waits until somebody has
// asked at the site; and of the first tree both lots are tested for filled seed.
func (c *crew) openParcel(ctx context.Context, v visit) error {
	lots, err := c.bench.underWayTo(ctx, v.site.Code)
	if err != nil || len(lots) == 0 {
		return err
	}
	for i, l := range lots {
		code := l.Code
		if i == len(lots)-1 {
			code = swapped(code)
		}
		in := app.Entering{
			Kind: trail.LabReceived, Codes: []string{code}, Person: v.who.Code,
			Data: trail.Data{Receipt: &trail.Receipt{Packets: l.Packets, Condition: "dry, packets whole"}},
		}
		out, err := c.bench.enter(ctx, in)
		if err != nil {
			return err
		}
		if i == len(lots)-1 {
			c.odd.heard["unplaced"] = out.Unplaced != ""
			c.place(v, out.Subject, l.Code)
		}
	}
	c.test(v, lots[0].Tree)
	return nil
}

// swapped is a code with two neighbours of its middle in the wrong order.
func swapped(code string) string {
	b := []byte(code)
	for i := len(b) - 4; i > 0; i-- {
		if b[i] != b[i-1] && b[i] != '-' && b[i-1] != '-' {
			b[i], b[i-1] = b[i-1], b[i]
			break
		}
	}
	return string(b)
}

// place says some days later where a packet belongs.
func (c *crew) place(v visit, waits, lot string) {
	c.later(v, placesAfter, func(ctx context.Context) error {
		_, err := c.bench.enter(ctx, app.Entering{
			Kind: trail.LabPlaced, Codes: []string{waits}, Person: v.who.Code, Why: "two digits swapped on the packet; asked at the site", Data: trail.Data{Into: lot},
		})
		return err
	})
}

// test counts filled seed of both lots of a tree.
func (c *crew) test(v visit, tree string) {
	c.later(v, testsAfter, func(ctx context.Context) error {
		for _, k := range trail.BagKinds {
			filled := selfingFilled
			if k == trail.Control {
				filled = controlFilled
			}
			lot := trail.Code{Tree: tree, Season: seasonYear, Kind: k}.String()
			if _, err := c.bench.enter(ctx, app.Entering{Kind: trail.LabFilled, Codes: []string{lot}, Person: v.who.Code, Data: trail.Data{Filled: &filled}}); err != nil {
				return err
			}
		}
		return nil
	})
}

// later has something done at the laboratory in the morning, some days on.
func (c *crew) later(v visit, days civil.Date, do func(context.Context) error) {
	c.plan((v.today()+days).In(v.who.Zone, 9, 30), func(ctx context.Context, _ time.Time) error { return do(ctx) })
}
