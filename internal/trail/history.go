package trail

import (
	"cmp"
	"slices"
	"time"

	"budcall/internal/civil"
)

// Planted is a selected tree with what its site asks of it.
type Planted struct {
	Site       string
	Tree       Tree
	MinSelfing int // bags that it needs
	MinControl int
	LotDays    int // days after picking by which its packets should be at the laboratory
}

// Events is everything that the trail of a season is made of.
type Events struct {
	Season  int
	Today   civil.Date
	Trees   []Planted
	Reports []Report
	Entries []Entry
}

// Line is one thing in the history of a tree, bag or lot: a report or an entry,
// with who and when.
type Line struct {
	At        time.Time  `json:"at"`
	Day       civil.Date `json:"day"`
	Person    string     `json:"person"`
	Way       string     `json:"way"`
	Report    *Report    `json:"report,omitempty"`
	Entry     *Entry     `json:"entry,omitempty"`
	Became    string     `json:"became,omitempty"`    // the state that it led to, of the thing whose history this is
	Withdrawn bool       `json:"withdrawn,omitempty"` // by a later entry: kept, not used
	Unused    string     `json:"unused,omitempty"`    // why it isn't used otherwise
}

// ID is the number of the report or entry.
func (l Line) ID() int64 {
	if l.Report != nil {
		return l.Report.ID
	}
	return l.Entry.ID
}

// lines puts all events in the order in which they reached us: of one moment,
// reports before entries, and each by number.
func (e Events) lines() []Line {
	out := make([]Line, 0, len(e.Reports)+len(e.Entries))
	for i := range e.Reports {
		r := e.Reports[i]
		out = append(out, Line{At: r.At, Day: r.Day, Person: r.Person, Way: r.Way, Report: &r})
	}
	withdrawn := withdrawn(e.Entries)
	for i := range e.Entries {
		n := e.Entries[i]
		out = append(out, Line{At: n.At, Day: n.Day, Person: n.Person, Way: n.Way, Entry: &n, Withdrawn: withdrawn[n.ID]})
	}
	slices.SortStableFunc(out, func(a, b Line) int {
		return cmp.Or(a.At.Compare(b.At), rank(a)-rank(b), cmp.Compare(a.ID(), b.ID()))
	})
	return out
}

func rank(l Line) int {
	if l.Report != nil {
		return 0
	}
	return 1
}

// withdrawn gives the entries that later ones withdraw. A withdrawal that is
// withdrawn itself counts no more.
func withdrawn(entries []Entry) map[int64]bool {
	list := slices.Clone(entries)
	slices.SortFunc(list, func(a, b Entry) int { return cmp.Compare(b.ID, a.ID) })
	out := map[int64]bool{}
	for _, e := range list {
		if e.Kind == LabWithdrawn && !out[e.ID] && e.Withdraws < e.ID {
			out[e.Withdraws] = true
		}
	}
	return out
}
