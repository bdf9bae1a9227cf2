package trail

// Verdict is what the isolation check of a tree can say.
type Verdict string

// The verdicts.
const (
	Bounded        Verdict = "bounded"                   // foreign pollen made at most AtMost of the filled seed
	NotBounded     Verdict = "not bounded"               // the interval reaches to all of it
	NoControl      Verdict = "no control"                // the tree has no control lot
	NoSelfing      Verdict = "no selfing seed"           // and no selfing lot
	ControlUntried Verdict = "control not tested"        // nobody looked for filled seed in it
	SelfingUntried Verdict = "selfing not tested"        //
	NoCatkinCount  Verdict = "catkins not counted"       // so filled seed per catkin isn't known
	NoneFilled     Verdict = "no filled seed in selfing" // nothing to compare with
)

// Isolation is the isolation check of one tree: filled seed per catkin in
// control bags over that in selfing bags bounds from above the part of the
// selfing bags' filled seed that foreign pollen can have made. The own tree's
// pollen can leak into a control bag too, so the truth may lie far below.
type Isolation struct {
	Site    string  `json:"site"`
	Tree    string  `json:"tree"` // its code without check character
	Verdict Verdict `json:"verdict"`
	Selfing *Tried  `json:"selfing,omitempty"`
	Control *Tried  `json:"control,omitempty"`
	Ratio   *Ratio  `json:"ratio,omitempty"`   // of filled seed per catkin, control over selfing
	AtMost  float64 `json:"at_most,omitempty"` // the part that foreign pollen made at most, 0 to 1, at 95 %
}

// Tried is the seed of a lot that was tested.
type Tried struct {
	Lot      string  `json:"lot"`
	Filled   Share   `json:"filled"`
	Catkins  int     `json:"catkins"`    // of the samples whose catkins were counted
	Counted  int     `json:"counted"`    // filled seeds in those samples
	Doubtful bool    `json:"doubtful"`   // a bag of the lot is in doubt
	Samples  int     `json:"samples"`    // how many samples were tested
	Rate     float64 `json:"per_catkin"` // filled seeds for each catkin; 0 without catkins
}

// Isolations gives the check of every tree from which there is seed, or bags.
func (t Trail) Isolations() (list []Isolation) {
	lots := map[string]map[BagKind]*Lot{}
	for _, l := range t.Lots {
		if lots[l.Tree] == nil {
			lots[l.Tree] = map[BagKind]*Lot{}
		}
		lots[l.Tree][l.Kind] = l
	}
	for _, tree := range t.Trees {
		if mine := lots[tree.base]; mine != nil {
			list = append(list, isolation(tree, mine[Selfing], mine[Control]))
		}
	}
	return list
}

func isolation(t *TreeTrail, selfing, control *Lot) Isolation {
	i := Isolation{Site: t.Site, Tree: t.base, Selfing: tried(selfing), Control: tried(control)}
	switch {
	case !seed(selfing):
		i.Verdict = NoSelfing
	case !seed(control):
		i.Verdict = NoControl
	case i.Selfing.Filled.Of == 0:
		i.Verdict = SelfingUntried
	case i.Control.Filled.Of == 0:
		i.Verdict = ControlUntried
	case i.Selfing.Filled.Got == 0:
		i.Verdict = NoneFilled
	case i.Selfing.Catkins == 0 || i.Control.Catkins == 0:
		i.Verdict = NoCatkinCount
	default:
		i.compare()
	}
	return i
}

// compare sets the ratio and what it bounds.
func (i *Isolation) compare() {
	r, ok := RatioOf(i.Control.Counted, float64(i.Control.Catkins), i.Selfing.Counted, float64(i.Selfing.Catkins))
	if !ok {
		i.Verdict = NoneFilled // in the samples whose catkins were counted
		return
	}
	i.Ratio, i.AtMost, i.Verdict = &r, min(1, r.High), Bounded
	if r.High >= 1 {
		i.Verdict = NotBounded
	}
}

// seed tells whether there is, or was, seed of the lot.
func seed(l *Lot) bool { return l != nil && (l.State != NoSeed || l.Results.Filled.Tested > 0) }

func tried(l *Lot) *Tried {
	if l == nil {
		return nil
	}
	f := l.Results
	t := &Tried{
		Lot: l.Code, Filled: ShareOf(f.Filled.Filled, f.Filled.Tested), Samples: f.Samples,
		Catkins: f.ByCatkins.Catkins, Counted: f.ByCatkins.Filled, Doubtful: len(l.Doubts) > 0,
	}
	if t.Catkins > 0 {
		t.Rate = float64(t.Counted) / float64(t.Catkins)
	}
	return t
}
