package stage

import (
	"math"

	"budcall/internal/civil"
)

// limits turns what a season's visits say of a plant's stages into limits on
// the ln heat that these need: met gives what a stage's heat had come to by the
// end of a day, NaN where it isn't known. Only what was said of a stage itself
// counts: what it implies for others follows from the order of the stages, which
// is a limit on the difference of two requirements that count the same heat.
func limits(stages []Stage, warmths []Warmth, direct []Bounds, met func(stage int, day civil.Date) float64) []Limit {
	ls := ordered(stages, warmths)
	for i, b := range direct {
		l := Limit{Stage: i, Lo: math.Inf(-1), Hi: math.Inf(1)}
		if b.Seen != 0 {
			l.Hi = met(i, b.Seen)
		}
		if notYet := b.before(); notYet != 0 {
			l.Lo = met(i, notYet)
		}
		if !math.IsNaN(l.Lo) && !math.IsNaN(l.Hi) && l.Lo <= l.Hi && (!math.IsInf(l.Lo, -1) || !math.IsInf(l.Hi, 1)) {
			ls = append(ls, l)
		}
	}
	return ls
}

// before gives the last day that didn't find the stage; a sight on or before it
// wins.
func (b Bounds) before() civil.Date {
	if b.Seen != 0 && b.NotYet >= b.Seen {
		return b.Seen - 1
	}
	return b.NotYet
}

// ordered says of each stage and those right before it that the later needs
// more, where both count the same heat.
func ordered(stages []Stage, warmths []Warmth) (ls []Limit) {
	for i, s := range stages {
		for j, before := range stages {
			if rightBefore(stages, before.Code, s.Code) && sameHeat(warmths[i], warmths[j]) {
				ls = append(ls, Limit{Stage: i, Less: j + 1, Lo: 0, Hi: math.Inf(1)})
			}
		}
	}
	return ls
}

// rightBefore reports whether one stage comes before another with none of the
// profile's between them.
func rightBefore(stages []Stage, one, other BBCH) bool {
	if one == other || !implies(other, one) {
		return false
	}
	for _, s := range stages {
		if s.Code != one && s.Code != other && implies(other, s.Code) && implies(s.Code, one) {
			return false
		}
	}
	return true
}
