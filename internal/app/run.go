package app

import (
	"context"
	"fmt"
	"time"

	"budcall/internal/postgres"
)

// tick is how often the program looks what has fallen due; tests shorten it.
var tick = 5 * time.Second

// Run works until ctx ends: what is due is begun, letters are sent, the
// configuration is looked at again. Trouble with the database is waited out.
func (a *App) Run(ctx context.Context) error {
	var wasDown error
	for {
		err := a.turn(ctx)
		switch {
		case ctx.Err() != nil:
			return nil
		case err != nil && wasDown == nil:
			a.log.ErrorContext(ctx, "work waits", "error", postgres.Explain(err))
		case err == nil && wasDown != nil:
			a.log.InfoContext(ctx, "work goes on")
		}
		wasDown = err
		a.gauges.ready(err)
		a.gauges.progress()
		if err := a.gone(); err != nil {
			return err
		}
		select {
		case <-ctx.Done():
			return nil
		case <-time.After(tick):
		}
	}
}

// gone tells that the private PostgreSQL has ended by itself.
func (a *App) gone() error {
	if a.local == nil {
		return nil
	}
	select {
	case <-a.local.Done():
		return fmt.Errorf("the private PostgreSQL has ended: %w (start budcall again; nothing that was stored is lost)", a.local.Err())
	default:
		return nil
	}
}

// turn is one look at everything that can fall due.
func (a *App) turn(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, time.Minute)
	defer cancel()
	if err := a.db.StillLive(ctx); err != nil {
		return err
	}
	if err := a.conf.look(ctx); err != nil {
		a.log.DebugContext(ctx, "configuration still not accepted", "error", err)
	}
	now, err := a.clock.now(ctx)
	if err != nil {
		return err
	}
	if err := a.journal.tellTrouble(ctx, a.db, now); err != nil {
		return err
	}
	if err := a.engine.step(ctx, now); err != nil {
		return err
	}
	if _, err := a.db.Nudge(ctx, leftAfter); err != nil {
		return err
	}
	if err := a.sweep(ctx, now); err != nil {
		return err
	}
	return a.gauges.refresh(ctx, a.db, now)
}

// leftAfter is how long a queued piece of a run may wait before it is queued
// again, since whoever had it may have died.
const leftAfter = 2 * time.Minute

// StepTo moves the simulated time to at and works off everything that is due
// by then: the slots, the letters, and what follows from them.
func (a *App) StepTo(ctx context.Context, at time.Time) error {
	if !a.clock.simulated {
		return fmt.Errorf("only a simulated clock can be moved: start with --clock DAY")
	}
	// A report may have come since: it is decided on in its own time.
	now, err := a.clock.now(ctx)
	if err == nil {
		err = a.drain(ctx, now)
	}
	if err == nil {
		err = a.db.SetClock(ctx, at)
	}
	if err != nil {
		return err
	}
	if err := a.engine.stepTo(ctx, at, a.drain); err != nil {
		return err
	}
	return a.sweep(ctx, at)
}

// Next gives the next moment after now at which something falls due by itself.
func (a *App) Next(ctx context.Context) (time.Time, error) {
	now, err := a.clock.now(ctx)
	if err != nil {
		return time.Time{}, err
	}
	return a.engine.next(ctx, now)
}

// Simulate lets the simulated time run, at so many days a second (0: as fast
// as the work goes), until ctx ends. Of several processes on one database one
// moves the time; the others work, and take over when it is gone.
func (a *App) Simulate(ctx context.Context, pace float64) error {
	p := pacer{daysPerSecond: pace}
	for ctx.Err() == nil {
		err := a.simulateOn(ctx, &p)
		if err == nil || ctx.Err() != nil {
			continue
		}
		a.gauges.ready(err)
		p = pacer{daysPerSecond: pace} // so that what was interrupted is worked off before time moves on
		if gone := a.gone(); gone != nil {
			return gone
		}
		if !postgres.Temporary(err) {
			return err
		}
		a.log.WarnContext(ctx, "work waits", "error", postgres.Explain(err))
		wait(ctx, time.Second)
	}
	return nil
}

// simulateOn moves the simulated time on to the next moment at which something
// falls due. What is due already, since a process before us was killed over
// it, is worked off first.
func (a *App) simulateOn(ctx context.Context, p *pacer) error {
	a.gauges.progress()
	if err := a.db.StillLive(ctx); err != nil {
		return err
	}
	if mine, err := a.db.Drive(ctx); err != nil || !mine {
		if err == nil {
			a.gauges.ready(nil)
		}
		*p = pacer{daysPerSecond: p.daysPerSecond} // another may leave a moment half worked off when its turn ends
		wait(ctx, 50*time.Millisecond)
		return err
	}
	now, err := a.clock.now(ctx)
	if err != nil {
		return err
	}
	if !p.begun() {
		p.begin(now)
		if err := a.StepTo(ctx, now); err != nil {
			return err
		}
		a.gauges.ready(nil) // the next moment may be hours away
	}
	next, err := a.engine.next(ctx, now)
	if err != nil {
		return err
	}
	if err := a.await(ctx, p, next, now); err != nil || ctx.Err() != nil {
		return err
	}
	if err := a.StepTo(ctx, next); err != nil {
		return err
	}
	a.gauges.ready(nil)
	return a.watchOver(ctx, next)
}

// await waits until the simulated time may be next, and looks after the program
// meanwhile: at a slow pace that can be hours.
func (a *App) await(ctx context.Context, p *pacer, next, now time.Time) error {
	for {
		left := p.until(next)
		if left <= 0 || ctx.Err() != nil {
			return nil
		}
		if err := a.watchOver(ctx, now); err != nil {
			return err
		}
		a.gauges.progress()
		wait(ctx, min(left, watchEvery))
	}
}

// pacer keeps simulated time from running ahead of the pace asked for.
type pacer struct {
	daysPerSecond float64
	real, program time.Time
}

func (p *pacer) begun() bool         { return !p.real.IsZero() }
func (p *pacer) begin(now time.Time) { p.real, p.program = time.Now(), now }

// until gives how long to wait before the program's time may be next.
func (p *pacer) until(next time.Time) time.Duration {
	if p.daysPerSecond <= 0 {
		return 0
	}
	days := next.Sub(p.program).Hours() / 24
	return time.Until(p.real.Add(time.Duration(days / p.daysPerSecond * float64(time.Second))))
}

func wait(ctx context.Context, d time.Duration) {
	if d <= 0 {
		return
	}
	select {
	case <-ctx.Done():
	case <-time.After(d):
	}
}

// watchEvery is how often a simulated program looks after itself.
const watchEvery = 2 * time.Second

// watchOver refreshes, at most every other second, what the program counts of
// itself, and looks at the configuration again.
func (a *App) watchOver(ctx context.Context, now time.Time) error {
	if time.Since(a.watched) < watchEvery {
		return nil
	}
	a.watched = time.Now()
	if err := a.conf.look(ctx); err != nil {
		a.log.DebugContext(ctx, "configuration still not accepted", "error", err)
	}
	return a.gauges.refresh(ctx, a.db, now)
}

// diedAfter is how long a simulated season waits for a piece before it is
// queued again: longer than asking a source takes, which isn't to be asked twice.
const diedAfter = 10 * time.Second

// drain waits until every run that was begun is done and every letter that is
// due is settled.
func (a *App) drain(ctx context.Context, at time.Time) error {
	looked := time.Now()
	for {
		busy, err := a.db.Busy(ctx, at)
		if err != nil || !busy {
			return err
		}
		if time.Since(looked) > time.Second { // a process beside us may have died with work in hand
			looked = time.Now()
			if _, err := a.db.Nudge(ctx, diedAfter); err != nil {
				return err
			}
			if _, err := a.db.QueueLetters(ctx, at); err != nil {
				return err
			}
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(2 * time.Millisecond):
		}
	}
}
