// Package rehearse is the trial of a season's plan: hidden true seasons,
// simulated people, four plain plans to beat, and a judge.
//
// Whether a plan saves a season can't be seen from the error of a forecast.
// Here it is played: daily temperatures of real years, true stages of trees
// that no plan is shown, people who answer late, can go on some days only, see
// a stage a day off, and a thermometer with gaps. Every plan plays the same
// seasons with the same people.
//
// # Truth
//
// The heat that tree i of site s needs for stage k in year y is lognormal:
//
//	ln need = ln median(k) + SD(k)·(√a·S(s,k) + √b·T(s,i,k) + √c·Y(y,k) + √d·R(s,i,y,k))
//
// with a, b, c, d the shares of variance of site, tree, year and residual
// (30, 20, 30 and 20 in 100). S, T and Y are standard Gaussian chains over the
// stages in the order of their codes: neighbours correlate by 0.85 for site and
// tree and by 0.7 for the year, stages n steps apart by the nth power. R is
// independent from stage to stage. All of this is our assumption.
//
// The order 01 < 07 < 11 and 07 ≤ 60 < 65 < 69 < 89 of the needs is kept by
// drawing the tree's residuals anew, 200 times at most; where site, tree and
// year effects leave no room even so, earlier needs are cut down to just below
// the later ones (and 11 raised above 07). Ordered needs may fall on one day.
//
// Stage 69, flowering over in the district, is of the district: one date for a
// site's trees, its tree part drawn once a site and its residual once a season.
// Seed is shed on the first day that has gathered the shed-after heat (base of
// stage 89) since the day of ripeness.
//
// As a second setting the trees follow another heat than the profile's: warmth
// above 2 °C weighted by day length, or a logistic response about 10 °C. Its
// requirement is set so that the median over the station's years of the
// date on which it is reached equals the median date of the profile's heat; its
// spread so that a tree one SD late is as many days late. As a third the trees
// stand higher than the station, in air cooler by 6.5 K a kilometre.
//
// # Putting a plan on trial
//
// A program that decides slot by slot is a Plan and is played by Play. One that
// plays through jobs of its own asks the Season directly: Observed and Forecast
// for what a morning knows, Answer for each mail (take the first answer; one
// moment has one delay, so what a mail bundles is answered at once), Visit for
// what is seen at each tree on the day somebody goes. Either way a Played comes
// out, which Summarize and WorstOf judge against Season.Tree.
//
// The four plans to beat are tuned on odd years for even ones or the other way
// round (Fold), by what the same people did at the same hidden truth of those
// years: more than any real keeper of records could know.
//
//	calendar               the site's mean dates less a tuned margin, told a week ahead
//	heat sum, median       at the profile's medians of 01, 69 and 89
//	heat sum, tuned        at thresholds tuned on the other years
//	…, raw forecast        asked when the forecast at face value comes to a tuned
//	                       threshold within a tuned number of days, for the days until then
//
// Each asks at 06:10, passes on after 24 hours, sends one trip for all bags and
// looks again, after tuned heat or days, for seed that wasn't ripe.
//
// # What was not done
//
// A season's weather in the bag, losses by wind or vermin, years without
// catkins, people who promise and don't go, and reports that are wrong in
// anything but the day are left out. Forecast errors of one issue day don't
// depend on those of the day before.
//
// Nothing here shares code with the engine that it tries: heat is summed
// again in a few lines, so that an error there can't hide itself.
package rehearse
