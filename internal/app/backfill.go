package app

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/postgres"
	"budcall/internal/pull"
	"budcall/internal/weather"
)

// BackFill says which past of which station is wanted.
type BackFill struct {
	Station string
	Since   civil.Date
	Again   bool   // parts that were fetched before are fetched anew
	Dir     string // of the configuration, to which files of keys are relative
	Version string // of the program, which providers are told
	Logger  *slog.Logger
	Done    func(Part) // is told of each part once it is done; may be nil
}

// Part is how one part of a station's past was fetched.
type Part struct {
	Of, Number int         // such as part 3 of 12
	Days       civil.Range // the first is no day where the answer goes back as far as there is anything
	Before     time.Time   // when it was fetched; zero: now
	Stored     int         // days
	Rejected   int         // lines
	Trouble    string      // what is wrong with the content, though it was stored
	Err        error       // it was not stored, and the next part was tried
}

// Filled is what came of a back-fill.
type Filled struct {
	Parts          []Part
	Stored, Failed int // days, parts
}

// BackFill fetches a station's past from its provider, part by part, through
// the same job as every day's pull, and stores it beside a program that may be
// running. A part that gives nothing is told and doesn't hold back the next;
// where the provider wants to be left alone it ends, and whoever asks again
// goes on where it ended.
func (b *Beside) BackFill(ctx context.Context, o BackFill) (Filled, error) {
	st, ok := find(b.programme.Stations, func(s config.Station) bool { return s.Code == o.Station })
	if !ok {
		return Filled{}, &Unknown{What: "station", Name: o.Station, Known: stationCodes(b.programme)}
	}
	s, ok := servedStation(st, b.programme.Zone)
	if !ok {
		return Filled{}, notServed(st)
	}
	now, err := b.clock.now(ctx)
	if err != nil {
		return Filled{}, err
	}
	parts, err := s.parts(o.Since, civil.At(now.In(b.programme.Zone)))
	if err != nil {
		return Filled{}, err
	}
	f := filler{b: b, o: o, station: st, now: now}
	if f.fetcher, err = newFetcher(o.Version, contact(b.programme), b.clock, &secrets{dir: o.Dir}, o.Logger); err != nil {
		return Filled{}, err
	}
	var filled Filled
	for i, part := range parts {
		p, err := f.part(ctx, part)
		if err != nil {
			return filled, err
		}
		p.Of, p.Number = len(parts), i+1
		filled.add(p)
		if o.Done != nil {
			o.Done(p)
		}
		if passing := (*pull.Passing)(nil); errors.As(p.Err, &passing) {
			return filled, comeBack(p, passing)
		}
	}
	return filled, nil
}

func (f *Filled) add(p Part) {
	f.Parts = append(f.Parts, p)
	f.Stored += p.Stored
	if p.Err != nil {
		f.Failed++
	}
}

// comeBack says that the rest must wait.
func comeBack(p Part, passing *pull.Passing) error {
	when := "later"
	if !passing.After.IsZero() {
		when = "after " + passing.After.UTC().Format(time.RFC3339)
	}
	return fmt.Errorf("part %d of %d: %w (give the same command %s: it goes on from here)", p.Number, p.Of, p.Err, when)
}

func stationCodes(p *config.Programme) (codes []string) {
	for _, s := range p.Stations {
		codes = append(codes, s.Code)
	}
	return codes
}

// filler fetches the parts of one station's past.
type filler struct {
	b       *Beside
	o       BackFill
	station config.Station
	fetcher *fetcher
	now     time.Time
}

func (f *filler) part(ctx context.Context, s served) (Part, error) {
	p := Part{Days: s.past.Days}
	key := postgres.Part{Station: f.station.Code, Days: p.Days, Source: s.source()}
	if !f.o.Again {
		at, err := f.b.db.BackFilled(ctx, key)
		if err != nil || !at.IsZero() {
			p.Before = at
			return p, err
		}
	}
	into := &pastMemory{db: f.b.db, part: key}
	asked := &lastError{Fetcher: f.fetcher}
	job := pull.Job{
		Memory: into, Fetcher: asked, Logger: f.o.Logger,
		Trouble: func(_ context.Context, _, text string) error { p.Trouble = text; return nil },
		Over:    func(context.Context, string) error { return nil },
	}
	order := pull.Order{Name: stationSource(f.station.Code), Class: "station", Zone: f.b.programme.Zone, Now: f.now}
	(&works{}).station(&order, f.station)
	order.Served = s
	if err := job.Do(ctx, order); err != nil {
		return p, err
	}
	p.Stored, p.Rejected = into.days, into.rejected
	if into.failed != "" {
		p.Trouble, p.Err = "", errors.New(into.failed)
		if asked.err != nil {
			p.Err = asked.err
		}
	}
	return p, ctx.Err()
}

// lastError remembers why the asking failed.
type lastError struct {
	pull.Fetcher
	err error
}

func (l *lastError) Ask(ctx context.Context, a pull.Asking) (pull.Answer, error) {
	answer, err := l.Fetcher.Ask(ctx, a)
	l.err = err
	return answer, err
}

// pastMemory is the memory of one part of the past: a source of which nothing
// is remembered, and whose failure is told to whoever asked, and to nobody else.
type pastMemory struct {
	db             *postgres.DB
	part           postgres.Part
	days, rejected int
	failed         string
}

// Source knows nothing of the source.
func (m *pastMemory) Source(_ context.Context, name string) (weather.Source, error) {
	return weather.Source{Name: name}, nil
}

// StoreHaul stores what came.
func (m *pastMemory) StoreHaul(ctx context.Context, _ int64, h weather.Haul) error {
	if m.failed = h.Error; h.Error != "" {
		return nil
	}
	m.days, m.rejected = len(h.Days), len(h.Rejects)
	return m.db.StoreBackFill(ctx, m.part, h)
}
