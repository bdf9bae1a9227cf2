package report

// Not yet read by a native speaker.
var finnish = Vocabulary{
	phrases: map[string]meaning{
		"menen": meansGoing, "menossa": meansGoing, "lähden": meansGoing, "käyn": meansGoing,
		"en pääse": meansCannot, "ei pääse": meansCannot, "en ehdi": meansCannot, "en voi": meansCannot,
		"poissa": meansAway, "lomalla": meansAway,
		"pois": meansOff, "otettu pois": meansOff, "kaikki pois": meansAllOff,
		"ruskea": meansBrown, "ruskeaa": meansBrown, "ruskeat": meansBrown, "siemen ruskea": meansBrown, "siemenet ruskeat": meansBrown,
		"vihreä": meansGreen, "vihreää": meansGreen, "vihreät": meansGreen, "siemen vihreä": meansGreen, "vielä vihreä": meansGreen, "siemen vielä vihreä": meansGreen,
		"ei kerättävää": meansNoPick, "ei norkkoja": meansNoCatkins, "ei tänä vuonna": meansNoCatkins, "norkkoja näkyy": meansCatkins, "norkkoja on": meansCatkins, "norkkoja": meansCatkins,
		"vaarallista": meansUnsafe, "ei turvallista": meansUnsafe, "ei lupaa": meansNoLeave,
		"paketti tuli": meansKit, "paketti saapui": meansKit, "tarvikkeet tulivat": meansKit, "tarvikkeet tulleet": meansKit, "nähty": meansUnderstood,
		"saapunut": meansArrived, "saapuneet": meansArrived, "kaikki saapuneet": meansArrived, "kaikki saapunut": meansArrived, "kaikki tulleet": meansArrived,
		"kiinni": meansClosed, "silmut kiinni": meansClosed,
		"turvonneet": meansSwollen, "silmut turvonneet": meansSwollen,
		"hiirenkorvalla": meansGreenTip, "hiirenkorva": meansGreenTip, "vihreä kärki": meansGreenTip, "vihreitä kärkiä": meansGreenTip, "vihreät kärjet": meansGreenTip,
		"silmujen turpoaminen": meansSwollen, "silmujen puhkeaminen": meansGreenTip, // as our own mails name the stages
		"ehjä": meansFine, "ehjät": meansFine, "kunnossa": meansFine, "rikki": meansTorn, "repeytynyt": meansTorn, "repeytyneet": meansTorn,
	},
	correction: "korjaus",
	weekdays: map[string]int{
		"ma": 1, "maanantai": 1, "maanantaina": 1, "ti": 2, "tiistai": 2, "tiistaina": 2, "ke": 3, "keskiviikko": 3, "keskiviikkona": 3,
		"to": 4, "torstai": 4, "torstaina": 4, "pe": 5, "perjantai": 5, "perjantaina": 5, "la": 6, "lauantai": 6, "lauantaina": 6,
		"su": 0, "sunnuntai": 0, "sunnuntaina": 0,
	},
	relative: map[string]int{"tänään": 0, "huomenna": 1, "eilen": -1},
	months: map[string]int{
		"tammikuuta": 1, "helmikuuta": 2, "maaliskuuta": 3, "huhtikuuta": 4, "toukokuuta": 5, "kesäkuuta": 6, "heinäkuuta": 7,
		"elokuuta": 8, "syyskuuta": 9, "lokakuuta": 10, "marraskuuta": 11, "joulukuuta": 12,
	},
	joins:    []string{"ja"},
	fillers:  []string{"on", "ovat"},
	dayFirst: true,
	examples: exampleWords{
		heading: "Vastaa tähän viestiin, yksi asia riville. Esimerkiksi:",
		going:   "menen", day: "la", cannot: "en pääse",
		off: "pois", brown: "ruskea", fine: "ehjä", closed: "kiinni", noCatkins: "ei norkkoja", noPick: "ei kerättävää",
		kit: "paketti tuli", arrived: "kaikki saapuneet", understood: "nähty",
		saysOn:     "puussa %s on kaksi itsepölytyspussia ja yksi kontrollipussi",
		saysPicked: "puusta %s kerättiin kaksi itsepölytyspussillista ja yksi kontrolli",
		saysOff:    "sen pussit on otettu pois",
		saysCame:   "puusta %s tuli kaksi itsepölytyspussillista ja yksi kontrolli",
	},
}
