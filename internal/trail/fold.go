package trail

import (
	"cmp"
	"slices"

	"budcall/internal/civil"
)

// Trail is the present state of every tree, bag and lot of a season, each with
// its history.
type Trail struct {
	Season   int             `json:"season"`
	Trees    []*TreeTrail    `json:"trees"`
	Lots     []*Lot          `json:"lots"`
	Unplaced []*UnplacedSeed `json:"unplaced"`
	// Other is what belongs to no tree, bag or lot here: reports of a site as
	// such, of trees that the configuration doesn't have, entries about codes
	// that nothing has.
	Other []Line `json:"other"`
}

// UnplacedSeed is packets at the laboratory that matched no bag. They are never
// refused, and wait under a code of their own until somebody says where they
// belong.
type UnplacedSeed struct {
	Code     string      `json:"code"`
	Written  string      `json:"written"`        // as it stands on the packet
	Near     []Near      `json:"near"`           // what may be meant
	Kind     BagKind     `json:"kind,omitempty"` // empty: not said
	Packets  int         `json:"packets"`
	Received civil.Date  `json:"received"`
	By       string      `json:"by"`
	Into     string      `json:"into,omitempty"` // the lot that it was placed into
	PlacedBy string      `json:"placed_by,omitempty"`
	PlacedOn civil.Date  `json:"placed_on,omitempty"`
	Why      string      `json:"why,omitempty"` // the reason given for it
	Results  *Laboratory `json:"laboratory"`
	History  []Line      `json:"history"`

	receipt Receipt
}

func (u *UnplacedSeed) line(l Line) {
	l.Became = "unplaced"
	if u.Into != "" {
		l.Became = "placed"
	}
	u.History = append(u.History, l)
}

// folding is a Trail in the making.
type folding struct {
	Trail
	directory *Directory
	planted   map[string]Planted // by code without check character
	trees     map[string]*TreeTrail
	lots      map[Code]*Lot
	unplaced  map[string]*UnplacedSeed
	allCame   map[string]Line // trees of which, last, all was reported received, without numbers
	nowhere   bool            // the line at hand has found no place yet
}

// Fold gives the state that events have led to. It depends on nothing else, and
// not on the order in which they are given; what isn't used is kept and marked.
func Fold(e Events) Trail {
	f := &folding{
		Trail:     Trail{Season: e.Season, Trees: []*TreeTrail{}, Lots: []*Lot{}, Unplaced: []*UnplacedSeed{}, Other: []Line{}},
		directory: NewDirectory(e.Trees, Aliases(e.Entries)), planted: map[string]Planted{}, trees: map[string]*TreeTrail{},
		lots: map[Code]*Lot{}, unplaced: map[string]*UnplacedSeed{}, allCame: map[string]Line{},
	}
	for _, p := range e.Trees {
		t := newTree(p, e.Season)
		f.planted[t.base], f.trees[t.base] = p, t
		f.Trees = append(f.Trees, t)
	}
	for _, l := range e.lines() {
		f.nowhere = true
		if l.Report != nil {
			f.report(l)
		} else {
			f.entry(l)
		}
		if f.nowhere {
			f.Other = append(f.Other, l)
		}
	}
	f.finish(e.Today)
	NewDirectory(e.Trees, Aliases(e.Entries), f.Codes()...).suggest(f.Unplaced)
	return f.Trail
}

// Aliases gives the former codes that entries name, in the order in which they
// were entered, but for withdrawn ones and such as aren't used.
func Aliases(entries []Entry) (list []Alias) {
	gone := withdrawn(entries)
	byID := func(a, b Entry) int { return cmp.Compare(a.ID, b.ID) }
	for _, e := range slices.SortedFunc(slices.Values(entries), byID) {
		if e.Kind == LabAlias && !gone[e.ID] && e.Check() == nil {
			list = append(list, Alias{Was: e.Alias, Tree: Base(e.Subject)})
		}
	}
	return list
}

// report books a report with every tree that it is of.
func (f *folding) report(l Line) {
	r := *l.Report
	for _, t := range f.Trees {
		if t.Site != r.Site || r.Tree != "" && t.Tree.Short != r.Tree {
			continue
		}
		f.nowhere = false
		t.take(l)
		f.reportLots(t, l)
	}
}

func (f *folding) reportLots(t *TreeTrail, l Line) {
	r := *l.Report
	all := r.Kind == LotReceived && r.Selfing+r.Control == 0 // a tick: what was picked has come
	if all {
		f.allCame[t.base] = l
	} else if r.Kind == LotReceived {
		delete(f.allCame, t.base)
	}
	for _, k := range BagKinds {
		n := map[BagKind]int{Selfing: r.Selfing, Control: r.Control}[k]
		lot := f.lots[Code{Tree: t.base, Season: f.Season, Kind: k}]
		switch {
		case r.Kind == Picked && (n > 0 || lot != nil):
			f.lot(t.base, k).pick(n, f.planted[t.base], l)
		case r.Kind == NothingToPick && lot != nil:
			lot.pick(0, f.planted[t.base], l)
		case all && lot != nil:
			lot.allReportedIn(l)
		case all:
		case r.Kind == LotReceived && (n > 0 || lot != nil):
			f.lot(t.base, k).reportedIn(n, l)
		}
	}
}

// lot gives the lot of a tree and kind, a new one where there was none.
func (f *folding) lot(tree string, k BagKind) *Lot {
	code := Code{Tree: tree, Season: f.Season, Kind: k}
	if l := f.lots[code]; l != nil {
		return l
	}
	l := &Lot{
		Code: code.String(), Tree: tree, Site: f.planted[tree].Site, Kind: k, State: NoSeed, Bags: []string{},
		Results: &Laboratory{under: code.String()}, History: []Line{},
	}
	f.lots[code] = l
	f.Lots = append(f.Lots, l)
	if in, all := f.allCame[tree]; all {
		l.allReportedIn(in) // the report of the picking came after that of the arrival
	}
	return l
}

// finish sets what hangs on the whole season, and the order.
func (f *folding) finish(today civil.Date) {
	for _, u := range f.Unplaced {
		if u.Into != "" {
			c, _, _ := ParseCode(u.Into) // it was parsed when it was placed
			f.lot(c.Tree, c.Kind).Results.join(u.Results)
		}
	}
	for _, l := range f.Lots {
		l.finish(f.trees[l.Tree], today)
	}
	slices.SortFunc(f.Lots, func(a, b *Lot) int {
		return cmp.Or(cmp.Compare(a.Site, b.Site), cmp.Compare(a.Tree, b.Tree), slices.Index(BagKinds, a.Kind)-slices.Index(BagKinds, b.Kind))
	})
	slices.SortFunc(f.Trees, func(a, b *TreeTrail) int { return cmp.Or(cmp.Compare(a.Site, b.Site), cmp.Compare(a.base, b.base)) })
}
