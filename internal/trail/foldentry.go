package trail

// entry books an entry with the lot, tree or unplaced seed that it is about.
func (f *folding) entry(l Line) {
	e := *l.Entry
	if bad := e.Check(); bad != nil {
		l.Unused = bad.Error()
	}
	if e.Kind == LabReceived && e.Subject == "" {
		f.receiveUnplaced(l)
		return
	}
	c, _, err := f.directory.Find(e.Subject)
	if err != nil || c.Season != 0 && c.Season != f.Season {
		return
	}
	switch c.What() {
	case Unplaced:
		f.entryUnplaced(c, l)
	case ATree:
		f.nowhere = false
		t := f.trees[c.Tree]
		t.History = append(t.History, l)
	default:
		f.entryLot(f.lot(c.Tree, c.Kind), l)
	}
}

// used tells whether a line counts.
func (l Line) used() bool { return !l.Withdrawn && l.Unused == "" }

func (f *folding) receiveUnplaced(l Line) {
	e := *l.Entry
	code := Code{Number: e.ID}.String()
	u := &UnplacedSeed{Code: code, Received: l.Day, By: l.Person, Results: &Laboratory{under: code}, History: []Line{}}
	if l.used() {
		u.receipt = *e.Receipt
		u.Written, u.Kind, u.Packets = e.Receipt.Written, e.Receipt.Kind, e.Receipt.Packets
	} else if e.Receipt != nil {
		u.Written = e.Receipt.Written
	}
	f.nowhere = false
	f.unplaced[code] = u
	f.Unplaced = append(f.Unplaced, u)
	u.line(l)
}

func (f *folding) entryUnplaced(c Code, l Line) {
	u := f.unplaced[c.String()]
	if u == nil {
		return
	}
	f.nowhere = false
	if l.Withdrawn && l.Entry.Kind == LabPlaced {
		f.misplaced(l)
	}
	if l.used() && l.Entry.Kind == LabPlaced {
		l.Unused = f.place(u, l)
	} else if l.used() {
		l.Unused = u.Results.take(*l.Entry)
	}
	u.line(l)
}

// misplaced books that the laboratory's book says what came to a lot, though
// nothing did: the report that the placing led to doesn't count.
func (f *folding) misplaced(l Line) {
	if c, _, err := f.directory.Find(l.Entry.Into); err == nil && c.What() == ALot && c.Season == f.Season {
		if lot := f.lots[Code{Tree: c.Tree, Season: c.Season, Kind: c.Kind}]; lot != nil {
			lot.booked = true
			lot.settle(0)
		}
	}
}

// place books unplaced packets with the lot that they belong to, and says why
// it isn't done where it can't be. Packets said to be of one kind never go into
// a lot of the other.
func (f *folding) place(u *UnplacedSeed, l Line) (unused string) {
	c, _, err := f.directory.Find(l.Entry.Into)
	switch {
	case err != nil || c.What() != ALot || c.Season != f.Season:
		return "no lot of this season has the code " + l.Entry.Into
	case u.Into != "":
		return "it was placed before, into " + u.Into
	case u.Packets == 0:
		return "its receipt was withdrawn"
	case u.Kind != "" && u.Kind != c.Kind:
		return "the packet says " + string(u.Kind) + ", the lot is " + string(c.Kind) + ": the two are never put together"
	}
	lot := f.lot(c.Tree, c.Kind)
	u.Into, u.PlacedBy, u.PlacedOn, u.Why = lot.Code, l.Person, l.Day, l.Entry.Why
	lot.Parts = append(lot.Parts, u.Code)
	came := l
	came.Day = u.Received
	lot.receive(u.receipt, came)
	return ""
}

// entryLot books an entry about a lot.
func (f *folding) entryLot(lot *Lot, l Line) {
	f.nowhere = false
	e := *l.Entry
	switch {
	case !l.used():
		lot.booked = lot.booked || e.Kind == LabReceived
		lot.settle(0)
		lot.line(l)
	case e.Kind == LabReceived && e.Receipt.Kind != "" && e.Receipt.Kind != lot.Kind:
		l.Unused = "the packet says " + string(e.Receipt.Kind) + ", the lot is " + string(lot.Kind) + ": the two are never put together"
		lot.line(l)
	case e.Kind == LabReceived:
		lot.receive(*e.Receipt, l)
	default:
		l.Unused = lot.Results.take(e)
		lot.settle(0)
		lot.line(l)
	}
}
