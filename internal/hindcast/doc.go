// Package hindcast is the question whether the forecasts can be trusted: every
// past season forecast as if it were this one, and scored against two honest
// baselines.
//
// # What is forecast
//
// A unit (site, tree, or the whole series) is forecast so many days before its
// mean date in the other years, from the observations and temperatures of the
// other years and from the season's own temperatures up to the day before. A
// unit that has been seen by then is counted and not scored. Members of the
// weather to come, their trend, requirements, choice of heats and baselines all
// come from other years; a test replaces all that follows the day of issue and
// finds the forecasts equal to the last bit.
//
// # How
//
// Four heats (families) are pooled with equal shares: above 5 °C from 1 March;
// above 2 °C weighed by day length; a logistic response about 10 °C; and above
// a fitted base. Of each, start and daily fall of the requirement (see
// stage.Warmth) are fitted: candidates are weighed by the likelihood of the
// dates, tempered to one year's worth a year. Requirements are learned by
// stage.Estimate, and moved by what visits to the season's other units found
// (stage.Belief.Given); the unit's own visit, not yet, cuts the pooled forecast
// exactly. Members are moved by the persistence of the departures observed in
// the last 3 and 30 days. At long lead the mean date is pooled in.
//
// # Baselines
//
// The unit's mean date with the spread of all units about their means, and a
// regression on the mean temperature from 1 January. Both are cut at the same
// own visit; neither is moved by visits to other units, as a calendar isn't.
// With OwnVisitsOnly the forecast isn't either. Skill is 1 − CRPS/CRPS of the
// better one, on identical cases, with a bootstrap over years.
//
// # Assumptions
//
// Days are counted from 1 January; what happens on 31 December of a leap year,
// or is forecast beyond the year's end, is left out. A plant that has not been
// seen is taken as visited daily: of a series with weekly visits "not yet" is
// known too well in between, alike for all. Interpolated dates are rounded to
// days. Coverage goes by the probability integral transform, the observed day's
// own chance being spread evenly.
//
// # What looks wrong
//
// Lines that can't be read, dates in the future or before any heat is counted,
// and second dates of one plant and year are refused with their line; so is a
// file, or a year, in °F. Dates far from the plant's others, and stages in
// another order than nearly everywhere (which comes first goes by the dates, as
// phases have names alone) are used and told with their line. So are files whose
// plants seem to need more or less heat from some year on, and temperatures
// that step or drift against the other files: by permutation, at 1 %.
//
// # What was tried and left out
//
// A slow drift of each station's requirement over the years helped where the
// station had been moved (Harvard Forest, 1993-1999) and cost as much
// elsewhere. The joint likelihood of all dates chose too great a fall. A start
// on 1 January served cherries well and 25-year series badly.
//
// # Not done yet
//
// Reports of the season's other phases aren't used, though stage.Belief can;
// they only serve to tell stages in the wrong order. What has changed at a
// station is told and not corrected.
// The regression takes one slope for all units.
package hindcast
