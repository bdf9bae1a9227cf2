package words

// How lists, odds and measures are said.
const (
	ListAnd          Key = "list.and"
	ListOr           Key = "list.or"
	OddsOf           Key = "odds.of"
	OddsLow          Key = "odds.low"
	OddsHigh         Key = "odds.high"
	LikelihoodForm   Key = "likely.form"
	LikelyHardly     Key = "likely.hardly"
	LikelyVeryUn     Key = "likely.very-un"
	LikelyUn         Key = "likely.un"
	LikelyEven       Key = "likely.even"
	LikelyLikely     Key = "likely.likely"
	LikelyVery       Key = "likely.very"
	LikelyNearlySure Key = "likely.nearly-sure"
	HeatForm         Key = "heat.form"
	CelsiusForm      Key = "celsius.form"
	DistanceNear     Key = "distance.near"
	DistanceKm       Key = "distance.km"
	HeightSame       Key = "height.same"
	HeightMore       Key = "height.more"
	HeightLess       Key = "height.less"
	SelfingBags      Key = "bags.selfing"
	ControlBags      Key = "bags.control"
	SelfingShort     Key = "bags.selfing-short"
	ControlShort     Key = "bags.control-short"
	DaysCount        Key = "days.count"
	TreesCount       Key = "trees.count"
	TreesFor         Key = "trees.for"
)

var englishSaid = Texts{
	ListAnd:          "{before} and {last}",
	ListOr:           "{before} or {last}",
	OddsOf:           "{n} in 100",
	OddsLow:          "fewer than 1 in 100",
	OddsHigh:         "more than 99 in 100",
	LikelihoodForm:   "{word} ({odds})",
	LikelyHardly:     "all but ruled out",
	LikelyVeryUn:     "very unlikely",
	LikelyUn:         "unlikely",
	LikelyEven:       "about as likely as not",
	LikelyLikely:     "likely",
	LikelyVery:       "very likely",
	LikelyNearlySure: "nearly certain",
	HeatForm:         "{n} degree days",
	CelsiusForm:      "{n} °C",
	DistanceNear:     "less than 1 km",
	DistanceKm:       "{n} km",
	HeightSame:       "at the same height",
	HeightMore:       "{n} m higher",
	HeightLess:       "{n} m lower",
	SelfingBags:      "{n} selfing bag | {n} selfing bags",
	ControlBags:      "{n} control bag | {n} control bags",
	SelfingShort:     "{n} selfing",
	ControlShort:     "{n} control",
	DaysCount:        "{n} day | {n} days",
	TreesCount:       "on {n} tree | on {n} trees",
	TreesFor:         "for {n} tree | for {n} trees",
}
