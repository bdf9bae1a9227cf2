package words

// That another station stands in for the site's own.
const (
	WhyStandsIn      Key = "why.stands-in"
	WhyStandsInSince Key = "why.stands-in-since"
)

var englishStandIn = Texts{
	WhyStandsIn:      "It stands in for {station}, which has given no usable reading.",
	WhyStandsInSince: "It stands in for {station}, which has given no usable reading since {day}.",
}
