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
// # What a stage needs
//
// ln of the heat that a plant of site i needs for stage s in year t is Gaussian:
//
//	y = μ_s + u_i + (tree) + v_it,s + e_it,s
//
// stage means μ with a prior about the profile's medians, a site effect u, an
// optional tree effect, a year's effect v and a residual e with covariances over
// the stages of their own. ([Effects]; one year effect of equal variance for all
// stages made forecasts 15 to 20 % worse.) Past seasons' reports condition all of
// it in closed form ([Condition], where the formulae stand): that is how a site
// is calibrated, and how a new one learns from the others. Where reports are many
// enough the covariances are estimated from them ([Estimate], expectation-
// maximisation that begins at the given ones). Sites of a programme lie far
// apart: each has its years to itself, and pooling goes over stage means alone
// ([Joint]). Near each other, as in a hindcast of plots, they share their years.
//
// Of a programme without reports the medians and spreads are the profile's; how
// their variance parts, and how stages go together, is from open series
// ([DefaultEffects]). It is counted in units of each stage's spread, so that a
// site that is late moves every stage by as much of its spread.
//
// A past report is an interval, "seen on the 5th, not yet on the 1st": its heat
// is that in the middle, and (ln H(5th) − ln H(1st))²/12 the variance of what the
// days leave open ([DatedOf], [Warmth.Feel]).
//
// # Several heats
//
// A profile may count heat in more ways than its stages' own ([Counting],
// [Warmth]): the forecast is their pool by weight. What isn't known of a
// requirement in another heat is carried over by a place's past years ([Carry]).
// A base and a start may be fitted to past dates by their likelihood
// ([Choice], [FittedFamily]), never by the spread of log heat, which always
// favours low bases; a base on the edge of the grid is said.
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
// The seen stage's own distribution is cut exactly; its heat also shifts what
// the other stages need, for the part that they have in common. With the limits
// on ln heat that all visits of the season set (x ≤ ln H(5th), x > ln H(1st)),
// and x_later ≥ x_earlier for stages that count the same heat, the joint
// Gaussian is matched by moments ([Belief.Given], expectation propagation); a
// stage then goes by that without its own limits' share ([Belief.Open]), and is
// cut ([Truncate]). Against drawing and rejecting, means are within 0.01 and
// spreads within 1 %, and chances by day within 0.02 from reports to
// distributions. A stage that was reported and none of those after it says that
// these weren't there yet. At last chances are lowered where one stage would be
// likelier than one before it ([InOrder]).
//
// Far ahead the forecast is pooled with the mean date of past seasons, where that
// is known from reports ([Drawn]).
//
// # A station that moved
//
// Trees don't change what they need from one year to the next for good. Where
// past reports' log heat jumps, the thermometer did ([FindStep], on departures
// from the other sites' where there are enough).
//
// # Assumptions
//
// The days so far count as observed, whatever their station's error. A day
// whose reading is missing is taken from each member: a hole then widens the
// forecast, and is never taken for cold. A mid-range stands in for a daily mean
// that wasn't published. For the heat of a visit the first five days of a hole
// are as the day before it; with a longer one the visit cuts its own stage and
// says nothing of others. Who saw a stage without having looked before saw it
// within a week. A fifth of the variance of a requirement lies between the trees
// of a site ([Stage.Earliest]); reports are of the site's trees together, so that
// they never tell which. Seed that is shed some °C·d after it is ripe has the log
// spread of ripeness ([After]).
//
// # What was not done
//
// A visit's date is taken as right to the day, and one report as good as
// another. Trees aren't told apart in a programme's forecasts, though the model
// can. The members of the weather to come are the same for all heats, and their
// own error isn't part of a requirement that was learned from. A requirement
// doesn't drift over the years: tried in hindcasts, that helped where a station
// had moved and cost as much elsewhere. Heat is counted on daily means: a
// forecast by another method needs members with minimum and maximum, and is
// refused. Winter chilling isn't asked for: experiments with Scandinavian birches
// expect no lack of it there even in far milder winters (Myking & Heide 1995,
// Tree Physiol. 15:697-704); a requirement that falls with the date ([Warmth])
// stands for it in hindcasts and fitted heats.
package stage
