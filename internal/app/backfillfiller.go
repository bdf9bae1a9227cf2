package app

import (
	"context"
	"errors"
	"strings"
	"time"

	"budcall/internal/postgres"
	"budcall/internal/pull"
	"budcall/internal/weather"
)

// filler fetches the parts of stations' past.
type filler struct {
	b       *Beside
	o       BackFill
	fetcher *fetcher
	now     time.Time
	empty   []postgres.Part // of which the provider says that it has nothing
}

func (f *filler) part(ctx context.Context, s stationPart) (Part, error) {
	p := Part{Station: s.station.Code, Days: s.past.Days}
	key := postgres.Part{Station: s.station.Code, Days: p.Days, Source: s.source()}
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
		Trouble: func(context.Context, string, string) error { return nil }, // what failed is told with its part
		Over:    func(context.Context, string) error { return nil },
		Past:    stored(f.b.db),
	}
	order := pull.Order{Name: stationSource(s.station.Code), Class: "station", Zone: f.b.programme.Zone, Now: f.now, BackFill: true}
	if s.past.Moving { // else the address is a file's, which holds what it holds
		order.Asked = s.past.Days
	}
	order.Neighbours = neighbours(f.b.programme, s.station)
	(&works{}).station(&order, s.station)
	order.Served = s.served
	if err := job.Do(ctx, order); err != nil {
		return p, err
	}
	p.Stored, p.Rejected = into.days, into.rejected
	switch misplaced := (*pull.Misplaced)(nil); {
	case into.failed != "":
		p.Trouble, p.Err = "", errors.New(into.failed)
		if asked.err != nil {
			p.Err = asked.err
		}
		p.Nothing = errors.As(p.Err, &misplaced)
	case into.empty:
		p.Nothing, p.Err = true, errors.New("its provider answers that it has nothing of these days (usual before a station began; else look at id:, and whether it measures temperature)")
		f.empty = append(f.empty, key)
	default:
		p.Trouble = strings.Join(into.said, "; ")
	}
	return p, nil
}

// rememberNothing remembers the parts of which providers say that they have
// nothing, lest they are asked for again and again; but of a station that has
// never given a day it may be the id that is wrong.
func (f *filler) rememberNothing(ctx context.Context, filled Filled) error {
	gives := map[string]bool{}
	for _, p := range filled.Parts {
		gives[p.Station] = gives[p.Station] || p.Err == nil
	}
	for _, key := range f.empty {
		if !gives[key.Station] {
			continue
		}
		h := weather.Haul{Source: weather.Source{Name: stationSource(key.Station)}, At: f.now}
		if err := f.b.db.StoreBackFill(ctx, key, h); err != nil {
			return err
		}
	}
	return nil
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
	said           []string // of the answer as a whole
	empty          bool     // the provider has nothing; it isn't remembered yet
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
	if len(h.Body) == 0 {
		m.empty = true
		return nil
	}
	m.days = len(h.Days)
	for _, r := range h.Rejects {
		if r.Line == 0 {
			m.said = append(m.said, r.Reason)
		} else {
			m.rejected++
		}
	}
	return m.db.StoreBackFill(ctx, m.part, h)
}
