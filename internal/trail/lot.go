package trail

import (
	"slices"

	"budcall/internal/civil"
)

// LotState is where a lot is.
type LotState string

// The states of a lot.
const (
	NoSeed   LotState = "nothing picked"
	Underway LotState = "under way" // picked, not at the laboratory yet
	Overdue  LotState = "overdue"   // and should be
	Arrived  LotState = "arrived"
	Stored   LotState = "stored"
)

// Lot is the seed of one tree, one kind and one season, from one or more bags.
// Selfing and control are two lots, always.
type Lot struct {
	Code      string      `json:"code"`
	Site      string      `json:"site"`
	Tree      string      `json:"tree"` // its code without check character
	Kind      BagKind     `json:"kind"`
	State     LotState    `json:"state"`
	Bags      []string    `json:"bags"`             // codes of those that it is from
	Named     bool        `json:"named"`            // the packets named their bags; else they are all of the kind
	Packets   int         `json:"packets"`          // reported picked
	Picked    civil.Date  `json:"picked,omitempty"` // the day of it
	PickedBy  string      `json:"picked_by,omitempty"`
	Expected  civil.Date  `json:"expected,omitempty"` // by when at the laboratory
	Came      int         `json:"came"`               // packets that arrived
	Received  civil.Date  `json:"received,omitempty"` // when the first did
	Condition []string    `json:"condition,omitempty"`
	Doubts    []LotDoubt  `json:"doubts,omitempty"`
	Parts     []string    `json:"parts,omitempty"` // codes under which packets were unplaced before
	Results   *Laboratory `json:"laboratory"`
	History   []Line      `json:"history"`

	reported    int        // packets received by the latest report …
	reportedOn  civil.Date // … and its day
	reportedAll bool       // it gave no numbers: all that had been picked by that day
	booked      bool       // the laboratory's book says what came, so that reports of it don't count
	numbers     []int
}

// LotDoubt is why a lot is doubtful: of a bag, since a day.
type LotDoubt struct {
	Bag   string     `json:"bag"`
	Doubt Doubt      `json:"doubt"`
	Since civil.Date `json:"since"`
}

func (l *Lot) line(n Line) {
	n.Became = string(l.State)
	l.History = append(l.History, n)
}

// pick books packets reported picked; a later report corrects an earlier one.
func (l *Lot) pick(n int, p Planted, line Line) {
	l.Packets, l.Picked, l.PickedBy = n, line.Day, line.Person
	l.Expected = line.Day + civil.Date(p.LotDays)
	if n == 0 {
		l.Picked, l.PickedBy, l.Expected = 0, "", 0
	}
	if l.reportedAll && line.Day <= l.reportedOn {
		l.reported = n
	}
	l.settle(0)
	l.line(line)
}

// receive books packets that came, by an entry.
func (l *Lot) receive(r Receipt, line Line) {
	l.Came, l.booked = l.Came+r.Packets, true
	l.arrive(line.Day)
	if r.Condition != "" {
		l.Condition = append(l.Condition, r.Condition)
	}
	for _, n := range r.Bags {
		if !slices.Contains(l.numbers, n) {
			l.numbers = append(l.numbers, n)
		}
	}
	l.settle(0)
	l.line(line)
}

// reportedIn books packets that somebody reported received. Once the
// laboratory's book says what came, that counts, and not the report.
func (l *Lot) reportedIn(n int, line Line) {
	l.reported, l.reportedOn, l.reportedAll = n, line.Day, false
	l.settle(0)
	l.line(line)
}

// allReportedIn books that somebody reported all packets received, without
// numbers. A picking of no later day, whenever it is reported, is among them.
func (l *Lot) allReportedIn(line Line) {
	l.reportedIn(l.Packets, line)
	l.reportedAll = true
}

func (l *Lot) arrive(day civil.Date) {
	if l.Received == 0 || day < l.Received {
		l.Received = day
	}
}

// settle finds the state; without today's date, nothing is overdue.
func (l *Lot) settle(today civil.Date) {
	switch {
	case l.Results.Store != "":
		l.State = Stored
	case l.Came > 0 || !l.booked && l.reported > 0:
		l.State = Arrived
	case l.Packets == 0:
		l.State = NoSeed
	case today > l.Expected:
		l.State = Overdue
	default:
		l.State = Underway
	}
}

// finish sets what hangs on the whole season: the bags, their doubts, and what
// is overdue today.
func (l *Lot) finish(t *TreeTrail, today civil.Date) {
	if !l.booked && l.reported > 0 {
		l.Came, l.Received = l.reported, l.reportedOn
	}
	l.Bags, l.Named = []string{}, len(l.numbers) > 0
	if t != nil {
		for _, b := range t.of(l.Kind) {
			if l.Named && !slices.Contains(l.numbers, b.Number) || !l.Named && !b.was() {
				continue
			}
			l.Bags = append(l.Bags, b.Code)
			if b.Doubt != "" {
				l.Doubts = append(l.Doubts, LotDoubt{b.Code, b.Doubt, b.DoubtfulSince})
			}
		}
	}
	l.settle(today)
}
