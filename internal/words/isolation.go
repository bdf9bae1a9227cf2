package words

import (
	"math"
	"strings"

	"budcall/internal/trail"
)

// What the isolation check of a tree comes to.
const (
	IsolationBounded  Key = "isolation.bounded"
	IsolationNothing  Key = "isolation.nothing"
	IsolationNoCtrl   Key = "isolation.no-control"
	IsolationNoSelf   Key = "isolation.no-selfing"
	IsolationSelfTest Key = "isolation.selfing-untested"
	IsolationCtrlTest Key = "isolation.control-untested"
	IsolationCatkins  Key = "isolation.catkins"
	IsolationNone     Key = "isolation.none-filled"
	IsolationDoubt    Key = "isolation.doubt"
)

var englishIsolation = Texts{
	IsolationBounded:  "at most {share} of the filled selfing seed can be of foreign pollen",
	IsolationNothing:  "says nothing: all of the filled selfing seed could be of foreign pollen",
	IsolationNoCtrl:   "no control: whether the seed is selfed can't be told",
	IsolationNoSelf:   "no selfing seed",
	IsolationSelfTest: "the selfing lot isn't tested for filled seed yet",
	IsolationCtrlTest: "the control lot isn't tested for filled seed yet",
	IsolationCatkins:  "no ratio: the catkins weren't counted in both lots",
	IsolationNone:     "no ratio: no filled seed was counted in the selfing lot",
	IsolationDoubt:    "a bag of {lot} is doubtful",
}

var isolationSaid = map[trail.Verdict]Key{
	trail.Bounded: IsolationBounded, trail.NotBounded: IsolationNothing, trail.NoControl: IsolationNoCtrl, trail.NoSelfing: IsolationNoSelf,
	trail.SelfingUntried: IsolationSelfTest, trail.ControlUntried: IsolationCtrlTest, trail.NoCatkinCount: IsolationCatkins, trail.NoneFilled: IsolationNone,
}

// Isolation says what the isolation check of a tree comes to: "at most 16 % of
// the filled selfing seed can be of foreign pollen". A bound is never rounded
// down.
func (c *Catalogue) Isolation(i trail.Isolation) string {
	k, ok := isolationSaid[i.Verdict]
	if !ok {
		return string(i.Verdict)
	}
	said := []string{c.Text(k, Args{"share": c.upTo(i.AtMost)})}
	for _, t := range []*trail.Tried{i.Selfing, i.Control} {
		if t != nil && t.Doubtful {
			said = append(said, c.Text(IsolationDoubt, Args{"lot": t.Lot}))
		}
	}
	return strings.Join(said, "; ")
}

// upTo gives a share of 1 in per cent, rounded up: below 10 % to a tenth.
func (c *Catalogue) upTo(x float64) string {
	steps := 1.0
	if x < 0.1 {
		steps = 10
	}
	percent := math.Ceil(x*100*steps-1e-9) / steps
	if steps == 1 {
		return c.Text(SkillShare, Args{"n": c.Number(percent)})
	}
	return c.Text(SkillShare, Args{"n": c.decimal(percent)})
}
