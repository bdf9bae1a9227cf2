package cli

import "fmt"

// scoreBar shows how far score is, on a terminal.
type scoreBar struct {
	bar
	of      int // series
	workers int
}

// of1 gives what draws the bar while the i-th series is scored.
func (b *scoreBar) of1(i int) func(done, total int) {
	return func(done, total int) {
		b.show(i*total+done, b.of*total, fmt.Sprintf("series %d of %d, season %d of %d", i+1, b.of, done, total))
	}
}
