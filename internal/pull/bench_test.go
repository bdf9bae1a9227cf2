package pull_test

import (
	"context"
	"fmt"
	"log/slog"
	"strings"
	"testing"
	"time"

	"budcall/internal/feed"
	"budcall/internal/pull"
	"budcall/internal/weather"
)

// memory remembers what was stored, as the database would.
type memory struct {
	sources map[string]weather.Source
	hauls   []weather.Haul
	fail    error
}

func (m *memory) Source(_ context.Context, name string) (weather.Source, error) {
	s, ok := m.sources[name]
	if !ok {
		s.Name = name
	}
	return s, m.fail
}

func (m *memory) StoreHaul(_ context.Context, _ int64, h weather.Haul) error {
	if m.fail == nil {
		m.sources[h.Source.Name] = h.Source
		m.hauls = append(m.hauls, h)
	}
	return m.fail
}

// provider answers as a test says.
type provider struct {
	answer func(pull.Asking) (pull.Answer, error)
	asked  []pull.Asking
}

func (p *provider) Ask(_ context.Context, a pull.Asking) (pull.Answer, error) {
	p.asked = append(p.asked, a)
	return p.answer(a)
}

// bench is a job with what it is joined to.
type bench struct {
	*pull.Job
	memory   *memory
	provider *provider
	troubles map[string]string
	order    pull.Order
}

var (
	morning = time.Date(2031, 4, 20, 6, 10, 0, 0, time.UTC)
	utc     = time.UTC
)

func newBench() *bench {
	b := &bench{memory: &memory{sources: map[string]weather.Source{}}, provider: &provider{}, troubles: map[string]string{}}
	b.Job = &pull.Job{
		Memory: b.memory, Fetcher: b.provider, Logger: slog.New(slog.DiscardHandler),
		Trouble: func(_ context.Context, subject, text string) error { b.troubles[subject] = text; return nil },
		Over:    func(_ context.Context, subject string) error { delete(b.troubles, subject); return nil },
	}
	b.order = pull.Order{
		Piece: 1, Name: "station:MET", Class: "station", Path: "data/met.csv", Format: "delimited",
		Options: feed.Options{Station: "MET", Unit: "C"}, Zone: utc, Now: morning,
	}
	return b
}

// of lets the order be of a format that has its own unit.
func (b *bench) of(format string) { b.order.Format, b.order.Options.Unit = format, "" }

// says lets the provider answer with a body.
func (b *bench) says(body string) {
	b.provider.answer = func(pull.Asking) (pull.Answer, error) { return pull.Answer{Body: []byte(body)}, nil }
}

func (b *bench) do(t *testing.T) weather.Haul {
	t.Helper()
	n := len(b.memory.hauls)
	if err := b.Do(t.Context(), b.order); err != nil {
		t.Fatal(err)
	}
	if len(b.memory.hauls) != n+1 {
		t.Fatal("the piece of the run was not settled")
	}
	return b.memory.hauls[n]
}

// words writes days as "day mean mark".
func words(days []weather.Day) string {
	var out []string
	for _, d := range days {
		c := d.MeanC
		out = append(out, strings.TrimSpace(fmt.Sprintf("%s %.1f %s", d.Date.String()[5:], c, d.Mark)))
	}
	return strings.Join(out, ", ")
}
