package report

// Not yet read by a native speaker.
var swedish = Vocabulary{
	phrases: map[string]meaning{
		"åker": meansGoing, "jag åker": meansGoing, "går": meansGoing, "kommer": meansGoing,
		"kan inte": meansCannot, "kan ej": meansCannot, "hinner inte": meansCannot,
		"borta": meansAway, "bortrest": meansAway,
		"av": meansOff, "nedtagen": meansOff, "nedtagna": meansOff, "nere": meansOff, "alla av": meansAllOff, "alla nere": meansAllOff,
		"brun": meansBrown, "brunt": meansBrown, "bruna": meansBrown, "brunt frö": meansBrown, "fröet brunt": meansBrown,
		"grön": meansGreen, "grönt": meansGreen, "gröna": meansGreen, "grönt frö": meansGreen, "fortfarande grönt": meansGreen, "fröet ännu grönt": meansGreen,
		"inget att plocka": meansNoPick, "inga hängen": meansNoCatkins, "inga i år": meansNoCatkins, "hängen syns": meansCatkins, "bär hängen": meansCatkins, "hängen": meansCatkins,
		"farligt": meansUnsafe, "inte säkert": meansUnsafe, "inget tillstånd": meansNoLeave,
		"paketet har kommit": meansKit, "paketet kom": meansKit, "utrustningen kom": meansKit, "utrustningen har kommit": meansKit, "sett": meansUnderstood,
		"har kommit": meansArrived, "framme": meansArrived, "allt har kommit": meansArrived, "alla har kommit": meansArrived, "allt framme": meansArrived,
		"slutna": meansClosed, "knoppar slutna": meansClosed,
		"svällda": meansSwollen, "knoppar svällda": meansSwollen,
		"musöron": meansGreenTip, "gröna spetsar": meansGreenTip, "grön spets": meansGreenTip,
		"knoppsvällning": meansSwollen, "knoppsprickning": meansGreenTip, // as our own mails name the stages
		"hel": meansFine, "hela": meansFine, "trasig": meansTorn, "trasiga": meansTorn, "sönder": meansTorn,
	},
	correction: "rättelse",
	weekdays: map[string]int{
		"mån": 1, "måndag": 1, "tis": 2, "tisdag": 2, "ons": 3, "onsdag": 3, "tor": 4, "tors": 4, "torsdag": 4,
		"fre": 5, "fredag": 5, "lör": 6, "lördag": 6, "sön": 0, "söndag": 0,
	},
	relative: map[string]int{"i dag": 0, "idag": 0, "i morgon": 1, "imorgon": 1, "i går": -1, "igår": -1},
	months: map[string]int{
		"jan": 1, "januari": 1, "feb": 2, "februari": 2, "mars": 3, "apr": 4, "april": 4, "maj": 5, "jun": 6, "juni": 6,
		"jul": 7, "juli": 7, "aug": 8, "augusti": 8, "sep": 9, "sept": 9, "september": 9, "okt": 10, "oktober": 10,
		"nov": 11, "november": 11, "dec": 12, "december": 12,
	},
	joins:    []string{"och"},
	runs:     []string{"till"},
	fillers:  []string{"på", "är", "sitter"},
	dayFirst: true,
	examples: exampleWords{
		heading: "Svara på det här mejlet, en rad för varje sak. Till exempel:",
		going:   "åker", day: "lör", cannot: "kan inte",
		off: "av", brown: "brun", fine: "hel", closed: "slutna", noCatkins: "inga hängen", noPick: "inget att plocka",
		kit: "paketet kom", arrived: "alla har kommit", understood: "sett",
		saysOn:     "två självningspåsar och en kontrollpåse sitter på %s",
		saysPicked: "två paket självning och ett kontroll plockade från %s",
		saysOff:    "dess påsar är nedtagna",
		saysCame:   "två paket självning och ett kontroll kom från %s",
		months:     [12]string{"jan", "feb", "mars", "april", "maj", "juni", "juli", "aug", "sept", "okt", "nov", "dec"},
	},
}
