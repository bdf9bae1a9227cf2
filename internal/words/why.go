package words

// The ground of what a mail asks: heat, odds, station.
const (
	WhyHeat         Key = "why.heat"
	WhyHeatUnknown  Key = "why.heat-unknown"
	WhyExpected     Key = "why.expected"
	WhyExpectedSpan Key = "why.expected-span"
	WhyOddsUnknown  Key = "why.odds-unknown"
	WhyGoBag        Key = "why.go-bag"
	WhyGoSeed       Key = "why.go-seed"
	WhyWait         Key = "why.wait"
	WhyNoWait       Key = "why.no-wait"
	WhyKit          Key = "why.kit"
	WhyTakeOff      Key = "why.take-off"
	WhyLook         Key = "why.look"
	WhyShort        Key = "why.short"
	WhySurvey       Key = "why.survey"
	WhyBuds         Key = "why.buds"
	WhyCheckWind    Key = "why.check-wind"
	WhyCheckDue     Key = "why.check-due"
	WhyLots         Key = "why.lots"
	WhyReplace      Key = "why.replace"
	WhyStation      Key = "why.station"
	WhyStationNone  Key = "why.station-none"
	WhyReading      Key = "why.reading"
	WhyNoReading    Key = "why.no-reading"
	WhyForecast     Key = "why.forecast"
	WhyNoForecast   Key = "why.no-forecast"
	WhyMembers      Key = "why.members"
)

var englishWhy = Texts{
	WhyHeat:         "Heat: {heat} of about {need} degree days for {stage} (above {base}, since {since}).",
	WhyHeatUnknown:  "Heat: nothing is known of it yet this season.",
	WhyExpected:     "Expected around {p50}.",
	WhyExpectedSpan: "Expected around {p50} (8 in 10: {span}).",
	WhyOddsUnknown:  "Odds: none can be given yet.",
	WhyGoBag:        "Odds: going {go}, {late} trees are too late and {early} bags hang longer than {lead}.",
	WhyGoSeed:       "Odds: going {go}, {late} trees have shed their seed and {early} are not ripe.",
	WhyWait:         "Waiting until {wait}: {late} and {early}.",
	WhyNoWait:       "Waiting doesn't make it better.",
	WhyKit:          "Odds: 10 in 100 that buds swell by {p10}; the first bags may go on from then.",
	WhyTakeOff:      "Odds: that no tree of the species in the district sheds pollen any more on {day} is {likely}.",
	WhyLook:         "Odds: seed is ripe by {p10} in 10 of 100 cases, by {p50} in 50, by {p90} in 90.",
	WhySurvey:       "Odds: none; a tree without catkins needs no bags, and nothing more is asked of it this year.",
	WhyBuds:         "Odds: buds break by {p10} in 10 of 100 cases, by {p50} in 50, by {p90} in 90; a look narrows this down.",
	WhyCheckWind:    "Odds: none; strong wind tears bags and breaks branches.",
	WhyCheckDue:     "Odds: none; nobody has reported a look at the bags for {days}.",
	WhyLots:         "Odds: none; packets are expected within {days} of being picked.",
	WhyReplace:      "Odds: going {go}, {late} trees have begun to flower.",
	WhyShort:        "Odds: that seed ripens by {end} is {likely}.",
	WhyStation:      "Station: {station}, {distance} away; the site lies {higher}.",
	WhyStationNone:  "Station: none has reported for this site yet.",
	WhyReading:      "Last reading {day}.",
	WhyNoReading:    "No reading yet this season.",
	WhyForecast:     "A weather forecast for the next days was used.",
	WhyNoForecast:   "No weather forecast was used.",
	WhyMembers:      "The weather to come is that of past years: {years}.",
}
