package app

import (
	"context"
	"time"

	"budcall/internal/advance"
	"budcall/internal/config"
	"budcall/internal/postgres"
)

// Player begins and does the runs of a programme on a memory that has no queue
// of its own: the same slots, occasions and jobs in the same order as the
// running program's, one after the other.
type Player struct {
	engine *engine
	works  *works
	open   func() (piece int64, ok bool)
}

// PlayerOptions is what a Player works on.
type PlayerOptions struct {
	Store     Store
	Open      func() (piece int64, ok bool) // takes the piece that has been queued longest
	Pull      Puller
	Memo      *advance.Memo // keeps what past years tell; may be nil
	Programme *config.Programme
	Dir       string // of the configuration: station files are relative to it
	Key       []byte // signs the links in letters
	Base      string // begins them; empty: the programme's public address
}

// NewPlayer gives a Player.
func NewPlayer(o PlayerOptions) *Player {
	programme := func() *config.Programme { return o.Programme }
	base := func() string { return o.Base }
	if o.Base == "" {
		base = func() string { return o.Programme.PublicURL }
	}
	return &Player{
		engine: &engine{db: o.Store, programme: programme}, open: o.Open,
		works: &works{db: o.Store, programme: programme, dir: o.Dir, links: links{key: o.Key, base: base}, pull: o.Pull, memo: o.Memo},
	}
}

// StepTo works off everything that is due at at, as App.StepTo does.
func (p *Player) StepTo(ctx context.Context, at time.Time) error {
	if err := p.Drain(ctx); err != nil {
		return err
	}
	return p.engine.stepTo(ctx, at, func(ctx context.Context, _ time.Time) error { return p.Drain(ctx) })
}

// Drain does what is queued.
func (p *Player) Drain(ctx context.Context) error {
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		piece, ok := p.open()
		if !ok {
			return nil
		}
		if err := p.works.do(ctx, piece); err != nil {
			return err
		}
	}
}

// Next gives the next moment after now at which something falls due by itself.
func (p *Player) Next(ctx context.Context, now time.Time) (time.Time, error) {
	return p.engine.next(ctx, now)
}

// AfterReport gives the run that decides anew on a site of which something was
// reported under a key.
func (p *Player) AfterReport(key, site string, at time.Time) postgres.Plan {
	return p.engine.occasion(runReport, key, at, []string{site})
}
