package replay

import (
	"context"
	"time"

	"budcall/internal/civil"
	"budcall/internal/postgres"
)

// slot is what a run is begun once for.
type slot struct {
	name    string
	day     civil.Date
	nominal string
}

// run is a run that isn't done.
type run struct {
	postgres.Run
	beside bool
	pieces map[postgres.Phase][]int64 // not done yet
}

// piece is one piece of a run that isn't done.
type piece struct {
	run   *run
	phase postgres.Phase
	key   string
}

// runs is the runs of a season and what of them is queued.
type runs struct {
	begun  map[slot]bool
	last   map[string]time.Time // by name: the slot's time of the newest run
	going  int                  // runs that aren't done and go on beside none
	pieces map[int64]*piece
	queue  []int64
	id     int64
}

func newRuns() runs {
	return runs{begun: map[slot]bool{}, last: map[string]time.Time{}, pieces: map[int64]*piece{}}
}

// phases is the phases of a run that have pieces, in order.
var phases = []postgres.Phase{postgres.Pull, postgres.Advance, postgres.Tell}

// Begin begins a run, unless it was begun before or has to wait for another.
func (r *runs) Begin(_ context.Context, p postgres.Plan) (bool, error) {
	if r.going > 0 && !p.Beside {
		return false, nil
	}
	return r.begin(p), nil
}

func (r *runs) begin(p postgres.Plan) bool {
	s := slot{p.Name, p.Day, p.Nominal}
	if r.begun[s] {
		return false
	}
	r.begun[s] = true
	if p.Due.After(r.last[p.Name]) {
		r.last[p.Name] = p.Due.UTC()
	}
	of := &run{Run: p.Run, beside: p.Beside, pieces: map[postgres.Phase][]int64{}}
	of.Due, of.At = p.Due.UTC(), p.At.UTC()
	for _, phase := range phases {
		for _, key := range p.Pieces[phase] {
			r.id++
			r.pieces[r.id] = &piece{of, phase, key}
			of.pieces[phase] = append(of.pieces[phase], r.id)
		}
	}
	if !of.beside {
		r.going++
	}
	r.forward(of)
	return true
}

// forward moves a run to the first phase with pieces left and queues them.
func (r *runs) forward(of *run) {
	for _, phase := range phases {
		if left := of.pieces[phase]; len(left) > 0 {
			if of.Phase != phase {
				of.Phase = phase
				r.queue = append(r.queue, left...)
			}
			return
		}
	}
	of.Phase = postgres.Over
	if !of.beside {
		r.going--
	}
}

// take gives the piece that has been queued longest.
func (r *runs) take() (int64, bool) {
	if len(r.queue) == 0 {
		return 0, false
	}
	id := r.queue[0]
	r.queue = r.queue[1:]
	return id, true
}

// Look gives a piece; open is false where it is done.
func (r *runs) Look(_ context.Context, id int64) (postgres.Piece, bool, error) {
	p, open := r.pieces[id]
	if !open {
		return postgres.Piece{}, false, nil
	}
	return postgres.Piece{ID: id, Run: p.run.Run, Phase: p.phase, Key: p.key}, true, nil
}

// settle does a piece and moves its run on.
func (r *runs) settle(id int64, f func(postgres.Piece) error) error {
	p, open := r.pieces[id]
	if !open {
		return nil
	}
	if err := f(postgres.Piece{ID: id, Run: p.run.Run, Phase: p.phase, Key: p.key}); err != nil {
		return err
	}
	delete(r.pieces, id)
	left := p.run.pieces[p.phase][:0]
	for _, other := range p.run.pieces[p.phase] {
		if other != id {
			left = append(left, other)
		}
	}
	p.run.pieces[p.phase] = left
	r.forward(p.run)
	return nil
}

// LastRun gives the slot's time of the newest run of a name; zero if there is none.
func (r *runs) LastRun(_ context.Context, name string) (time.Time, error) { return r.last[name], nil }
