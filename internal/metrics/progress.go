package metrics

import (
	"fmt"
	"slices"
	"time"
)

// stallAfter is how long a loop may go without progress. Loops come round
// every few seconds, also when the database is away.
const stallAfter = 2 * time.Minute

// Progress marks that a loop came round. A loop marks it also when what it
// wanted to do failed: a restart wouldn't bring the database back.
func (m *Metrics) Progress(loop string) {
	at := m.real()
	m.mu.Lock()
	defer m.mu.Unlock()
	m.loops[loop] = at
}

// Stalled lists the loops that made no progress for two minutes, each with for
// how long; none is that the program is alive.
func (m *Metrics) Stalled() []string {
	now := m.real()
	m.mu.Lock()
	defer m.mu.Unlock()
	var out []string
	for loop, last := range m.loops {
		if quiet := now.Sub(last); quiet > stallAfter {
			out = append(out, fmt.Sprintf("%s: no progress for %s", loop, quiet.Round(time.Second)))
		}
	}
	slices.Sort(out)
	return out
}
