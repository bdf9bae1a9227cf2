package weather

import (
	"time"

	"budcall/internal/civil"
)

// Source is what is known of a station or an outlook as something to ask.
type Source struct {
	Name         string // station:CODE or outlook:SITE
	Class        string // station, outlook
	SHA256       []byte // of the last body
	Newest       civil.Date
	Expires      time.Time // not to be asked again before
	LastModified string    // to be sent along verbatim
	ETag         string
	Failures     int // askings that failed in a row

	RenewedAt time.Time // when Newest last moved on, or when the source was first asked
}

// Haul is what one asking of a source brought.
type Haul struct {
	Source   Source    // as it is to be remembered
	At       time.Time // the program's time
	Body     []byte    // as it came; empty: unchanged since the last asking
	Days     []Day
	Winds    []Wind // of a source that has them; of an outlook from today on
	OpenYear int    // days from this year on are rows, earlier ones packed
	Rejects  []Reject
	Error    string    // what went wrong, with what to do; then nothing else is stored
	RetryAt  time.Time // when to ask again before the next slot
	Outlook  string    // code of the site whose outlook this is; empty for a station
	IssuedAt time.Time // of an outlook

	ForgetRawBefore time.Time // raw copies of the source that are older go, but for the newest; zero: none does
}

// Settled parts the days into those of past years, which are packed, and those
// that stay rows: of open years, and what may be taken back or gives way to a
// final day.
func (h Haul) Settled() (years map[int][]Day, open []Day) {
	years = map[int][]Day{}
	for _, d := range h.Days {
		if y := d.Date.Year(); y < h.OpenYear && !d.Mark.ByComparison() && !d.Provisional {
			years[y] = append(years[y], d)
		} else {
			open = append(open, d)
		}
	}
	return years, open
}

// Reject is a line of a source that could not be read.
type Reject struct {
	Line   int
	Reason string
	Text   string
}
