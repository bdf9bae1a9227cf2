package rehearse

import "budcall/internal/civil"

// Limits are how long a bag may hang.
type Limits struct {
	MaxLeadDays int // days before the tree flowers
	MaxOnDays   int // days after flowering is over in the district
}

// Done is what was done at a tree; zero where it never was.
type Done struct {
	Bagged, Off, Picked civil.Date
}

// Verdict is the outcome at one tree.
type Verdict struct {
	Lost       bool
	TooEarly   bool
	InTime     bool
	OffInTime  bool
	PickedRipe bool
}

// Judge compares what was done with the truth. All is by whole days:
//
//	lost        never bagged, or bagged on the day of bud break (07) or later:
//	            the female catkins stand open from that day on
//	too early   not lost, and bagged more than MaxLeadDays before flowering (60)
//	in time     neither
//	off in time bagged, and off on the day flowering is over in the district (69)
//	            or up to MaxOnDays after it
//	picked ripe on the day of ripeness (89) or later, before the day of shedding
//
// The last two stand for themselves: a bag put on too late is still taken off.
// Where a stage was never reached by 31 October, a tree can't be lost by it, is
// bagged too early for it, isn't off in time and isn't picked ripe.
func Judge(t Tree, d Done, l Limits) Verdict {
	open, flowers, over, ripe := t.Reached[BudBreak], t.Reached[Flowering], t.Reached[FlowerEnd], t.Reached[SeedRipe]
	var v Verdict
	v.Lost = d.Bagged.IsZero() || !open.IsZero() && d.Bagged >= open
	v.TooEarly = !v.Lost && (flowers.IsZero() || flowers-d.Bagged > civil.Date(l.MaxLeadDays))
	v.InTime = !v.Lost && !v.TooEarly
	v.OffInTime = !d.Bagged.IsZero() && !over.IsZero() && d.Off >= over && d.Off <= over+civil.Date(l.MaxOnDays)
	v.PickedRipe = !ripe.IsZero() && !d.Picked.IsZero() && d.Picked >= ripe && (t.Shed.IsZero() || d.Picked < t.Shed)
	return v
}
