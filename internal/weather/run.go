package weather

// run gathers evidence over days that something has been wrong since one of
// them: a one-sided cumulative sum of log-likelihood ratios of "wrong" against
// "right" (Page, Biometrika 41, 1954), each day's share limited so that no
// single day decides. It begins where the sum last was zero, is found when the
// sum reaches a limit, and has ended where the sum was highest once it has
// fallen far enough from there.
type run struct {
	sum, peak float64
	since     int // first day of what may be one
	peakDay   int
	on        bool
	unsettled bool // on, but nobody knows whether this station or the only other one is wrong
}

// turn is what a day changes about a run.
type turn int

const (
	nothing turn = iota
	begun        // days since..t
	ended        // days after peakDay are right again
)

// Limits of the runs, in units of log-likelihood; our assumptions, chosen on
// planted faults of other seeds than those that are reported.
const (
	runFound    = 15.0
	runReleased = 5.0
	mostADay    = 2.0 // so that it takes eight days at least
)

func (r *run) add(t int, evidence float64) turn {
	r.sum += max(-mostADay, min(mostADay, evidence))
	switch {
	case r.on && r.sum <= r.peak-runReleased:
		r.on, r.sum, r.peak, r.since, r.unsettled = false, 0, 0, t+1, false
		return ended
	case r.sum <= 0 && !r.on:
		r.sum, r.peak, r.since = 0, 0, t+1
		return nothing
	case r.sum > r.peak:
		r.peak, r.peakDay = r.sum, t
	}
	if !r.on && r.sum >= runFound {
		r.on = true
		return begun
	}
	return nothing
}
