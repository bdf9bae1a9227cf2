package trail

import "budcall/internal/civil"

// BagState is where a bag is in its life.
type BagState string

// The states of a bag, in the order of its life.
const (
	Planned  BagState = "planned"        // the tree needs it, it isn't on
	On       BagState = "on"             // hangs, and nothing speaks against it
	Doubtful BagState = "doubtful since" // hangs, but foreign pollen may be in: since DoubtfulSince
	Off      BagState = "off"            // taken off
	Gone     BagState = "gone"           // replaced by another, or said by mistake to be on
)

// Doubt is why a bag, or the lot it led to, is doubtful.
type Doubt string

// The doubts.
const (
	TornBag   Doubt = "torn"
	OneOfTorn Doubt = "one of these bags was torn, and it wasn't said which"
	PutOnLate Doubt = "put on when flowering had begun"
)

// Bag is an isolation bag of one season.
type Bag struct {
	Code          string     `json:"code"`
	Kind          BagKind    `json:"kind"`
	Number        int        `json:"number"`
	State         BagState   `json:"state"`
	PutOn         civil.Date `json:"put_on,omitempty"`
	PutOnBy       string     `json:"put_on_by,omitempty"`
	DoubtfulSince civil.Date `json:"doubtful_since,omitempty"`
	Doubt         Doubt      `json:"doubt,omitempty"`
	TakenOff      civil.Date `json:"taken_off,omitempty"`
	Replaced      string     `json:"replaced_by,omitempty"`
	History       []Line     `json:"history"`
}

// hangs tells whether the bag is on the tree.
func (b *Bag) hangs() bool { return b.State == On || b.State == Doubtful }

// was tells whether the bag ever hung and wasn't replaced.
func (b *Bag) was() bool { return b.hangs() || b.State == Off }

func (b *Bag) line(l Line) {
	l.Became = string(b.State)
	b.History = append(b.History, l)
}

// doubt marks the bag from a day on; an earlier doubt stays.
func (b *Bag) doubt(why Doubt, since civil.Date) {
	if b.State == On {
		b.State = Doubtful
	}
	if b.Doubt == "" {
		b.Doubt, b.DoubtfulSince = why, since
	}
}
