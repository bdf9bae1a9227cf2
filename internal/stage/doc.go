// Package stage is the stages of a plant: what heat each of them needs, and on
// which day it will be reached.
//
// # The day of a stage
//
// A bud breaks when it has had enough warmth since the end of winter. Let H(d)
// be the heat (°C·d) from the stage's start through day d, by the method, base
// and start that the requirement was fitted with. What one tree in one year
// needs differs from what another did; on the log scale that is Gaussian about
// ln m with a standard deviation s, so that
//
//	P(reached by the end of d | weather) = Φ((ln H(d) − ln m)/s)
//
// and no heat is no chance. A spread of s = 0.30 about 60 °C·d is two springs
// in three between 44 and 81 °C·d. Weather to come is known only as members,
// each as likely as the others, so the chance is their mean. It is computed,
// not drawn: the same inputs give the same bytes.
//
// Two things spread the day, and they shrink at different times. In March
// nearly all of it is weather. In the last week the heat is nearly known and
// what is left is the requirement: at 5 °C·d a day, s = 0.30 about 60 °C·d is
// still 3 to 4 days to either side. No forecast of the weather can remove it;
// looking at the trees can.
//
// # What visits say
//
// "Seen on the 5th, not yet on the 1st" cuts the distribution to the days
// between and scales it up to 1 (Truncate, where the formulae stand). Stages
// follow each other, so a report of one says something of others (BoundsOf):
//
//	01 < 07 < 11              the leaf series
//	07 ≤ 60 < 65 < 69 < 89    the flower series
//
// Female catkins winter inside the buds and show at bud break (Vakkari 2009,
// EUFORGEN guidelines for silver birch), so that flowering never comes before
// it. Leaves and flowers come within days of each other in either order, and
// say nothing of one another.
//
// # Assumptions
//
// The days so far count as observed, whatever their station's error. A day
// whose reading is missing is taken from each member: a hole then widens the
// forecast, and is never taken for cold. A mid-range stands in for a daily mean
// that wasn't published. A fifth of the variance of a requirement lies between
// the trees of a site (Earliest). Seed that is shed some °C·d after it is ripe
// has the log spread of ripeness (Shift).
//
// # Not done yet
//
// What [Distribution] issues from: the requirement is the profile's, the same at
// every site: past seasons' reports don't move it yet (the requirement model of
// [Effects], [Condition] and [Belief] does so in hindcasts only), and a visit bounds the stages it names or implies
// but doesn't shift the others (a late bud break makes late flowers). Stages
// are forecast each for itself; only their bounds know the order. One heat a
// stage, on daily means: a forecast by another method needs members with
// minimum and maximum, and is refused. Winter chilling isn't asked for:
// experiments with Scandinavian birches expect no lack of it there even in far
// milder winters (Myking & Heide 1995, Tree Physiol. 15:697-704).
package stage
