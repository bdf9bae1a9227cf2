package replay

import (
	"context"
	"slices"
	"time"

	"budcall/internal/call"
	"budcall/internal/notice"
	"budcall/internal/postgres"
)

// Telling is one thing that somebody is told about a call.
type Telling struct {
	At       time.Time // when the letter was written
	Letter   string    // its ID; things in one letter share it
	Kind     notice.Kind
	Site     string
	Season   int
	Person   string // code; empty: nobody is left to ask, and the ops person is told
	Passed   bool   // it comes from somebody who didn't or couldn't answer
	Item     notice.Item
	Troubles int // in the same letter, of one to the ops person
}

// tray is what is owed and not yet in a letter.
type tray struct {
	id      int64
	once    map[owedOnce]bool
	due     []notice.Due
	threads map[thread][]string // letters about a call to a person
	written map[string]bool     // letters, by ID
	onTold  func(Telling)
}

// owedOnce is what is owed once.
type owedOnce struct {
	of     siteYear
	task   call.Task
	serial int
	person string
}

type thread struct {
	of     siteYear
	task   call.Task
	person string
}

func newTray(onTold func(Telling)) tray {
	return tray{once: map[owedOnce]bool{}, threads: map[thread][]string{}, written: map[string]bool{}, onTold: onTold}
}

// owe puts what a decision owes in the tray; what is owed already isn't again.
func (t *tray) owe(d postgres.Decision) {
	for i, o := range d.Outcome.Owed {
		t.id++ // also where nothing comes of it, as a sequence in PostgreSQL does
		key := owedOnce{siteYear{d.Site, d.Season}, o.Task, o.Serial, o.Person}
		if t.once[key] {
			continue
		}
		t.once[key] = true
		t.due = append(t.due, notice.Due{
			ID: t.id, Person: o.Person, Passed: o.Passed, Item: d.Items[i], Season: d.Season, At: d.At,
		})
	}
}

// Untold gives what is owed about a site's season and in no letter yet.
func (m *memory) Untold(_ context.Context, site string, year int) (due []notice.Due, err error) {
	for _, d := range m.due {
		if d.Item.Site == site && d.Season == year {
			due = append(due, d)
		}
	}
	return due, nil
}

// reword puts what is owed as it is now in the place of what it was.
func (t *tray) reword(again []notice.Due) {
	for _, d := range again {
		if i := slices.IndexFunc(t.due, func(o notice.Due) bool { return o.ID == d.ID }); i >= 0 {
			t.due[i].Item = d.Item
		}
	}
}

// Tell settles the piece of a run that turns what is owed into letters.
func (m *memory) Tell(_ context.Context, piece int64, f func(postgres.Run, []notice.Due, []string) ([]notice.Envelope, error)) error {
	return m.settle(piece, func(p postgres.Piece) error {
		troubles := m.untold()
		for i, d := range m.due {
			m.due[i].Thread = m.threads[threadOf(d)]
		}
		if len(m.due) == 0 && len(troubles) == 0 {
			return nil
		}
		envelopes, err := f(p.Run, m.due, troubles)
		if err != nil {
			return err
		}
		for _, e := range envelopes {
			m.write(e.Parcel)
			m.told(e, len(troubles))
		}
		m.due = m.due[:0]
		return nil
	})
}

func threadOf(d notice.Due) thread {
	return thread{siteYear{d.Item.Site, d.Season}, d.Item.Task, d.Person}
}

// write keeps a letter, unless it is there already.
func (m *memory) write(p notice.Parcel) {
	if !m.keep || m.written[p.ID] {
		return
	}
	m.written[p.ID] = true
	m.kept.Letters = append(m.kept.Letters, p)
}

// told books that what an envelope holds is told.
func (m *memory) told(e notice.Envelope, troubles int) {
	for _, id := range e.Owed {
		i := slices.IndexFunc(m.due, func(d notice.Due) bool { return d.ID == id })
		if i < 0 {
			continue
		}
		d := m.due[i]
		of := threadOf(d)
		if !slices.Contains(m.threads[of], e.ID) {
			m.threads[of] = append(slices.Clip(m.threads[of]), e.ID)
		}
		t := Telling{
			At: e.WrittenAt, Letter: e.ID, Kind: notice.Kind(e.Kind), Site: d.Item.Site, Season: d.Season,
			Person: d.Person, Passed: d.Passed, Item: d.Item,
		}
		if t.Kind == notice.Ops {
			t.Troubles = troubles
		}
		if m.keep {
			m.kept.Tellings = append(m.kept.Tellings, t)
		}
		if m.onTold != nil {
			m.onTold(t)
		}
	}
}
