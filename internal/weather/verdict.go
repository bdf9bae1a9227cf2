package weather

import (
	"fmt"
	"strings"

	"budcall/internal/civil"
)

// Verdict is one day of a station that a Watch doubts, or no longer doubts, or
// of which it has something to say though it is used.
type Verdict struct {
	Station string
	Date    civil.Date
	Found   civil.Date // the newest day that was known when it was found
	Mark    Mark       // Usable: what was said before is taken back, or what Reason says leaves it in use
	Reason  string     // in words: value, what was expected, its spread, by which neighbours
}

// finding is a value beside what it was expected to be.
type finding struct {
	what      string   // mean, minimum, maximum
	valueC    float64  // of the station
	expectedC float64  // of the same
	spreadK   float64  // of what was expected, as one standard deviation
	by        []string // the neighbours that say so; none: the place's own past
}

// String says it as "mean 18.3 °C, expected 8.1 ± 1.2 °C by HQ and STA1".
func (f finding) String() string {
	return fmt.Sprintf("%s %.1f °C, expected %.1f ± %.1f °C by %s", f.what, f.valueC, f.expectedC, f.spreadK, sources(f.by))
}

// sources lists neighbours, or says that there are none.
func sources(by []string) string {
	switch n := len(by); n {
	case 0:
		return "what is usual there at that time of year (no neighbour has a reading)"
	case 1:
		return by[0]
	default:
		return strings.Join(by[:n-1], ", ") + " and " + by[n-1]
	}
}
