// Package ensemble is weather to come as equally likely members, and what
// follows from it: chances by day, quantiles of a day, scores.
//
// Nobody knows the weather five weeks ahead, but a place's own past springs
// are a fair sample of it. So a spring is forecast as many times as there are
// past years on file, each time as if that year's weather came again, and what
// is said of the day of bud break is the share of those springs in which it
// has come. The sample keeps what a formula would lose: cold spells last, and
// a late April is warmer and less even than an early one.
//
// # Members
//
// Day i after the start of a past year stands for day i after the start of the
// running one. Counted that way a sum from 1 March meets the same days of sun
// in leap years and others; by day of the year all of spring would slip by a
// day. Past years were mostly colder than today's, so each is moved along a
// straight line through the years' means T(y) over the window:
//
//	t(y, i) + b·(running year − y),  b = least-squares slope of T on y
//
// The line moves a spring as a whole and leaves its course alone. It sees the
// years used and no other. From fewer than 15 it isn't taken (our assumption):
// at Helsinki-Vantaa, March to August 1958 to 2016, years stand 0.84 K about a
// line that rises 0.036 K a year, and with such a spread the slope of 15 years
// is off by 0.050 K a year, that of 30 by 0.018.
//
// About 30 years lose nothing against more; 10 cost 3 to 10 % of skill and 5
// cost 4 to 15 % (tried on open series).
//
// # Short-range forecast
//
// A forecast of the next days is trusted as far as it deserves. With c and σc
// the members' mean and spread about the day, σe the forecast's error and
// w = σc²/(σc² + σe²), a member's departure a from c and the forecast f become
//
//	c + w·(f − c) + √(1 − w)·a
//
// This is the conditional mean of a Gaussian climate given a noisy forecast,
// with the members pulled in to the conditional spread σc·√(1 − w). Each
// member keeps the sign and course of its departures, so spells survive.
// Taken at face value the forecast would cost up to 8 % of skill (tried).
//
// # Score
//
// CRPS is in days, so that "off by 2.8" means what a forester thinks it means:
// for a sure day it is the plain error, for a spread one it also charges the
// spread. Two forecasts are compared on the same days only.
//
// # Not done yet
//
// A site without history doesn't borrow a long station's years, and there is
// no generator from monthly normals. σe is an assumption until issued
// forecasts can be compared with what came. Members know daily means only.
package ensemble
