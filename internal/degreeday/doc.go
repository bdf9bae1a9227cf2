// Package degreeday is heat: the degree days (°C·d) of a day by published
// methods, and their sum from a start.
//
// A plant's spring is reckoned as if each stage needed a certain amount of
// warmth, and warmth counted in proportion to the temperature above a base. If
// the temperature T were known at each moment, a day's heat would be the mean of
// max(0, T − base) over the day. Stations mostly give two or three numbers a
// day, so every method is a guess at the course between them.
//
// # Methods
//
// Let n and x be a day's minimum and maximum, M = (n+x)/2, W = (x−n)/2, L the
// lower threshold (base) and U the upper one.
//
//	mean       max(0, T − L) of the published daily mean T
//	average1   max(0, M − L): the mean is raised to L if it is below
//	average2   mean of n and x after each is raised to L and cut to U, minus L
//	four-case  n ≥ L: M−L. x ≤ L: 0. else M > L: (x−L)/2 − (L−n)/4. else (x−L)/4
//	triangle   n ≥ L: M−L. x ≤ L: 0. else (x−L)² / (2(x−n))
//	sine       n ≥ L: M−L. x ≤ L: 0. else ((M−L)(π/2−θ) + W cos θ)/π, θ = asin((L−M)/W)
//	double-…   mean of the half day from n to x and the half day from x to the
//	           next day's minimum, each by the single method with its cutoff
//
// average1 and average2 are the two readings of "the mean of the day" that
// McMaster & Wilhelm 1997 (Agric. For. Meteorol. 87:291-300) told apart;
// four-case is the rule of the British and Irish weather services; sine is
// Baskerville & Emin 1969 (Ecology 50:514-517); triangle is Zalom et al. 1983
// (UC Leaflet 21373); the double forms are Allen 1976 (Environ. Entomol.
// 5:388-396).
//
// On days wholly above the base all but mean agree: M − L. They part on the days
// that matter in early spring, warm at noon and cold at night, and always in the
// order average1 ≤ triangle ≤ sine ≤ average2 (each is the mean of the same
// convex function over a wider spread of temperatures about M). At M = L they
// give 0, W/4, W/π and W/2. So a requirement holds only for the method, base and
// start that it was fitted with.
//
// # Upper threshold
//
// With D(L) the heat above a threshold:
//
//	horizontal    D(L) − D(U): above U heat gathers as fast as at U
//	intermediate  D(L) − 2·D(U), never below 0: above U it slows
//	vertical      D(L) − D(U) − (U−L)·(share of the day above U): above U it stops
//
// The share above U is (x−U)/(x−n) on the triangle and 1/2 − asin((U−M)/W)/π on
// the sine. mean, average1, average2 and four-case follow no course of the day
// and know only the horizontal cutoff: the mean, or each extreme, is cut to U.
// For four-case that is D(L) − D(U) by its own formula, which is our reading:
// the rule was published without an upper threshold.
//
// # Assumptions
//
// The course is the same up as down and the extremes come once a day. A front
// that brings the day's maximum at midnight breaks both. The day is whatever
// window the series has; minimum and maximum of different windows (common where
// observers read thermometers in the morning) pair a night with another day.
// The published mean and (n+x)/2 differ by up to 2 °C on single days and by
// hundredths over the month (Helsinki Kumpula, June 2016, GHCN-Daily), and are
// never put one for the other.
//
// # What was not done
//
// Nothing is estimated for a day whose values are missing: the day is missing,
// and the sum over it is incomplete. Day length weighs nothing here, and chilling
// counts nowhere: at these sites it is met by midwinter. Responses that aren't
// straight lines, and a maximum that is mirrored at 30 °C instead of cut, are
// left out. The Finnish start of the growing season (five days, open ground free
// of snow, 20 °C·d to follow) is left out because snow isn't read.
// The temperature is the one in the screen at two metres: a bud in the sun, or a
// catkin in a bag, is often warmer, and the requirement has to carry that.
package degreeday
