package words

var swedishReported = Texts{
	ReportOfTree:        "{tree}: {what}",
	ReportTorn:          "trasiga på {tree}: {bags}",
	ReportTornSome:      "trasiga påsar på {tree}",
	ReportFine:          "påsarna på {tree} kontrollerade, hela",
	ReportAllFine:       "alla påsar kontrollerade, hela",
	ReportReceived:      "mottaget från {tree}: {packets}",
	ReportReceivedSome:  "frö från {tree} mottaget",
	ReportAllReceived:   "allt frö mottaget",
	ReportCatkins:       "{tree} bär {n} hänge | {tree} bär {n} hängen",
	ReportCatkinsSeen:   "{tree} bär hängen",
	ReportCatkinsSite:   "alla träd bär hängen",
	ReportNoCatkins:     "{tree} bär inga hängen i år",
	ReportNoCatkinsSite: "inget träd bär hängen i år",
	ReportAway:          "borta från {from} till {until}",
	ReportProblem:       "ett problem: {note}",
	ReportUnsafe:        "ingen kan ta sig dit utan fara",
	ReportNoPermission:  "det är inte tillåtet att åka dit",
}

var swedishLinks = Texts{
	RefusedWithdrawn:   "Den här länken har återkallats",
	RefusedWithdrawnDo: "Den som sköter programmet har återkallat dina tidigare länkar, som man gör när en telefon eller ett mejl har kommit bort. Länken i nästa mejl fungerar; ring samordnaren tills dess.",
}

var swedishStandIn = Texts{
	WhyStandsIn:      "Den ersätter {station}, som inte har gett någon användbar avläsning.",
	WhyStandsInSince: "Den ersätter {station}, som inte har gett någon användbar avläsning sedan {day}.",
}

var swedishYears = Texts{
	YearsOwn:       "{n} eget år | {n} egna år",
	YearsLent:      "{n} från {station} (dess dagar motsvarar platsens inom {within}; {seen}) | {n} från {station} (dess dagar motsvarar platsens inom {within}; {seen})",
	YearsSeen:      "{n} gemensam dag | {n} gemensamma dagar",
	YearsUnseen:    "inga gemensamma dagar, rättat bara för höjden",
	YearsGenerated: "{n} skapat av månadsmedelvärden | {n} skapade av månadsmedelvärden",
	KelvinForm:     "{n} K",
}
