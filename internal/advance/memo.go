package advance

import (
	"context"
	"fmt"
	"strings"
	"sync"

	"budcall/internal/stage"
)

// Memo keeps what past years tell from one day of a season to the next, since
// working it out costs a hundred times what a day does. What it keeps is found
// by a mark of everything it was made from: weather and reports of past
// seasons, and what the configuration says of sites, stations and profile. With
// and without it a site is carried on alike, to the byte.
type Memo struct {
	sites int

	mu        sync.Mutex
	clock     int64
	lores     map[string]*memory
	learnings map[string]*memory
}

// memory is what is kept under a key. Keys name what it came from by address
// (a programme, a learning): it holds on to these, so that no other takes
// their place.
type memory struct {
	mu       sync.Mutex // held while it is worked out
	used     int64      // under the Memo's lock
	lore     *lore
	learning *learning
}

// mostLearned is how many profiles' learning is kept; it is small beside what
// is kept of sites, but for the weather of the seasons reported.
const mostLearned = 8

// NewMemo makes a memo that keeps what past years told of so many sites, about
// a megabyte each.
func NewMemo(sites int) *Memo {
	return &Memo{sites: max(1, sites), lores: map[string]*memory{}, learnings: map[string]*memory{}}
}

// lore gives what past years tell of a site; without a Memo it is worked out.
func (m *Memo) lore(ctx context.Context, r Reader, t Task, p stage.Profile) (*lore, error) {
	if m == nil {
		l, err := learn(ctx, r, t, p)
		if err != nil {
			return nil, err
		}
		return prepare(ctx, r, t, l)
	}
	shared, err := m.learned(ctx, r, t, p)
	if err != nil {
		return nil, err
	}
	year := t.today().Year()
	history, err := r.HistoryMark(ctx, t.Site.Stations, year)
	if err != nil {
		return nil, err
	}
	own := m.get(m.lores, m.sites, fmt.Sprintf("%p|%s|%s", shared, t.fingerprint(), history))
	own.mu.Lock()
	defer own.mu.Unlock()
	if own.lore == nil {
		own.lore, err = prepare(ctx, r, t, shared)
	}
	return own.lore, err
}

// learned gives what past reports tell.
func (m *Memo) learned(ctx context.Context, r Reader, t Task, p stage.Profile) (*learning, error) {
	year := t.today().Year()
	reports, err := r.PastReportsMark(ctx, year)
	if err != nil {
		return nil, err
	}
	e := m.get(m.learnings, mostLearned, fmt.Sprintf("%p|%d|%s|%s", t.Programme, year, reports, fingerprint(p)))
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.learning != nil {
		history, err := r.HistoryMark(ctx, e.learning.stations, year)
		if err != nil || history == e.learning.history {
			return e.learning, err
		}
	}
	l, err := learn(ctx, r, t, p)
	if err == nil {
		e.learning = l
	}
	return l, err
}

// get gives what is kept under a key, or a place to keep it in, for which what
// was unused for longest makes room.
func (m *Memo) get(in map[string]*memory, most int, key string) *memory {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.clock++
	e, ok := in[key]
	if !ok {
		if len(in) >= most {
			oldest := ""
			for k, other := range in {
				if oldest == "" || other.used < in[oldest].used {
					oldest = k
				}
			}
			delete(in, oldest)
		}
		e = &memory{}
		in[key] = e
	}
	e.used = m.clock
	return e
}

// fingerprint is what the configuration says of a site's place and stations.
func (t Task) fingerprint() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s|%v|%v|%v", t.Site.Code, t.Site.LatDeg, t.Site.LonDeg, t.Site.AltitudeM)
	for _, code := range t.Site.Stations {
		st := station(t.Programme, code)
		fmt.Fprintf(&b, "|%s|%v|%v|%v", code, st.LatDeg, st.LonDeg, st.AltitudeM)
	}
	if n := t.Programme.Normals(t.Site); n != nil {
		fmt.Fprintf(&b, "|%v", *n)
	}
	return b.String()
}

func fingerprint(p stage.Profile) string {
	var b strings.Builder
	b.WriteString(p.Key)
	for _, s := range p.Stages {
		fmt.Fprintf(&b, "|%d|%v|%v|%v|%v", s.Code, s.Heat.Rule, s.Heat.Start, s.MedianCd, s.LogSD)
	}
	for _, h := range p.Heats {
		fmt.Fprintf(&b, "|%v", h)
	}
	return b.String()
}
