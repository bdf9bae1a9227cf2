package trail

import (
	"slices"

	"budcall/internal/civil"
)

// TreeTrail is a tree in a season: its bags, and all that was said of it.
type TreeTrail struct {
	Site      string `json:"site"`
	Tree      Tree   `json:"tree"`
	Code      string `json:"code"`                 // with check character
	Catkins   int    `json:"catkins,omitempty"`    // counted in the survey
	Bears     bool   `json:"bears,omitempty"`      // catkins were seen
	NoCatkins bool   `json:"no_catkins,omitempty"` // there are none this year
	Bags      []*Bag `json:"bags"`
	History   []Line `json:"history"`

	season int
	base   string
	// flowers is the first day on which flowering was seen at the site, so far.
	flowers civil.Date
	// torn counts, by kind, bags torn before flowering and not yet replaced
	// where it wasn't said which: those with OneOfTorn share it.
	torn map[BagKind]int
}

func newTree(p Planted, season int) *TreeTrail {
	t := &TreeTrail{Site: p.Site, Tree: p.Tree, season: season, base: Base(p.Tree.Code), Bags: []*Bag{}, torn: map[BagKind]int{}}
	t.Code = WithCheck(t.base)
	if p.Tree.Gone {
		return t
	}
	for _, k := range BagKinds {
		for range map[BagKind]int{Selfing: p.MinSelfing, Control: p.MinControl}[k] {
			t.add(k)
		}
	}
	return t
}

// add makes the next bag of a kind, planned.
func (t *TreeTrail) add(k BagKind) *Bag {
	n := 1 + len(t.of(k))
	b := &Bag{Code: Code{Tree: t.base, Season: t.season, Kind: k, Bag: n}.String(), Kind: k, Number: n, State: Planned, History: []Line{}}
	t.Bags = append(t.Bags, b)
	slices.SortStableFunc(t.Bags, func(a, b *Bag) int { return slices.Index(BagKinds, a.Kind) - slices.Index(BagKinds, b.Kind) })
	return b
}

// of gives the bags of a kind, by number.
func (t *TreeTrail) of(k BagKind) (some []*Bag) {
	for _, b := range t.Bags {
		if b.Kind == k {
			some = append(some, b)
		}
	}
	return some
}

// take books a report of the tree, or of its whole site.
func (t *TreeTrail) take(l Line) {
	r := *l.Report
	t.History = append(t.History, l)
	switch r.Kind {
	case CatkinsSeen:
		t.Bears, t.NoCatkins, t.Catkins = true, false, r.Count
	case NoCatkins:
		t.Bears, t.NoCatkins, t.Catkins = false, true, 0
	case StageSeen:
		if r.BBCH >= firstFlower && r.BBCH < lastFlower && (t.flowers == 0 || r.Day < t.flowers) {
			t.flowers = r.Day
			t.late(l)
		}
	case BagsOn:
		t.putOn(Selfing, r.Selfing, l)
		t.putOn(Control, r.Control, l)
	case BagsTorn:
		t.tear(l)
	case BagsFine:
		for _, b := range t.Bags {
			if b.hangs() {
				b.line(l)
			}
		}
	case BagsOff:
		t.takeOff(l)
	}
}

// The flower stages from which on pollen is in the air.
const (
	firstFlower = 60 // BBCH: flowering begins
	lastFlower  = 80 // BBCH: from here on the stages are of the seed
)

// flowering tells whether flowering was seen by a day.
func (t *TreeTrail) flowering(day civil.Date) bool { return t.flowers != 0 && t.flowers <= day }

// putOn books that n bags of a kind hang on the tree, all told. More than hang
// sound are new ones, first in place of those that were torn before flowering;
// fewer than hang correct what was said before.
func (t *TreeTrail) putOn(k BagKind, n int, l Line) {
	fresh := n - t.sound(k)
	for ; fresh > 0 && t.replace(k, l); fresh-- {
	}
	hanging := 0
	for _, b := range t.of(k) {
		switch {
		case b.hangs() && hanging < n:
			hanging++
			b.line(l)
		case b.hangs():
			t.drop(b)
			b.line(l)
		}
	}
	for ; hanging < n; hanging++ {
		t.hang(t.spare(k), l)
	}
	t.clear(k, l)
}

// replaceable tells whether a bag was torn before flowering: putting on another
// makes it good.
func (t *TreeTrail) replaceable(b *Bag) bool {
	return b.State == Doubtful && (b.Doubt == TornBag || b.Doubt == OneOfTorn) && !t.flowering(b.DoubtfulSince)
}

// sound counts the bags of a kind that hang and need no other in their place.
func (t *TreeTrail) sound(k BagKind) (n int) {
	shared := 0
	for _, b := range t.of(k) {
		switch {
		case !b.hangs():
		case !t.replaceable(b):
			n++
		case b.Doubt == OneOfTorn:
			shared++
		}
	}
	return n + shared - min(t.torn[k], shared)
}

// replace puts a new bag in the place of a torn one of a kind: the last one,
// where it isn't known which was torn. It is false where none is torn.
func (t *TreeTrail) replace(k BagKind, l Line) bool {
	for _, b := range slices.Backward(t.of(k)) {
		if !t.replaceable(b) || b.Doubt == OneOfTorn && t.torn[k] == 0 {
			continue
		}
		t.drop(b)
		other := t.spare(k)
		b.Replaced = other.Code
		b.line(l)
		t.hang(other, l)
		return true
	}
	return false
}

// spare is the first bag of a kind that isn't on yet, or was said by mistake to
// be; a new one where there is none.
func (t *TreeTrail) spare(k BagKind) *Bag {
	for _, b := range t.of(k) {
		if b.State == Planned || b.State == Gone && b.Replaced == "" && b.Doubt == "" {
			return b
		}
	}
	return t.add(k)
}

// drop ends the life of a bag that is no longer on the tree.
func (t *TreeTrail) drop(b *Bag) {
	if b.Doubt == OneOfTorn && t.torn[b.Kind] > 0 {
		t.torn[b.Kind]--
	}
	b.State = Gone
}

// clear makes those bags sound again of which one was torn, once as many as
// were torn are off the tree.
func (t *TreeTrail) clear(k BagKind, l Line) {
	for _, b := range t.of(k) {
		if t.torn[k] == 0 && b.Doubt == OneOfTorn && t.replaceable(b) {
			b.State, b.Doubt, b.DoubtfulSince = On, "", 0
			b.line(l)
		}
	}
}

// hang books a bag as put on.
func (t *TreeTrail) hang(b *Bag, l Line) {
	b.State, b.PutOn, b.PutOnBy = On, l.Day, l.Person
	if t.flowering(l.Day) {
		b.doubt(PutOnLate, l.Day)
	}
	b.line(l)
}

// late marks the bags that turn out to have been put on when flowering had
// begun.
func (t *TreeTrail) late(l Line) {
	for _, b := range t.Bags {
		if b.was() && t.flowering(b.PutOn) && b.Doubt == "" {
			b.doubt(PutOnLate, b.PutOn)
			b.line(l)
		}
	}
}

// tear books torn bags. Where fewer of a kind are torn than hang, or it isn't
// said how many, nobody knows which: every one that hangs is in doubt.
func (t *TreeTrail) tear(l Line) {
	r := *l.Report
	for _, k := range BagKinds {
		torn := map[BagKind]int{Selfing: r.Selfing, Control: r.Control}[k]
		var hanging []*Bag
		for _, b := range t.of(k) {
			if b.hangs() {
				hanging = append(hanging, b)
			}
		}
		if r.Selfing+r.Control == 0 {
			torn = len(hanging)
		}
		why := TornBag
		if torn < len(hanging) {
			why = OneOfTorn
			t.torn[k] = torn // a later report corrects an earlier one
		}
		for _, b := range hanging {
			if torn > 0 {
				b.doubt(why, r.Day)
				b.line(l)
			}
		}
	}
}

// takeOff books every bag of the tree as off. What is off before it is on was
// never meant for these bags.
func (t *TreeTrail) takeOff(l Line) {
	for _, b := range t.Bags {
		if b.hangs() && l.Day >= b.PutOn {
			b.State, b.TakenOff = Off, l.Day
			b.line(l)
		}
	}
}
