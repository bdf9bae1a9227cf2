package words

var finnishReported = Texts{
	ReportOfTree:        "{tree}: {what}",
	ReportTorn:          "repeytynyt puussa {tree}: {bags}",
	ReportTornSome:      "puussa {tree} on repeytyneitä pusseja",
	ReportFine:          "puun {tree} pussit katsottu, ehjät",
	ReportAllFine:       "kaikki pussit katsottu, ehjät",
	ReportReceived:      "vastaanotettu puusta {tree}: {packets}",
	ReportReceivedSome:  "puun {tree} siemen vastaanotettu",
	ReportAllReceived:   "kaikki siemen vastaanotettu",
	ReportCatkins:       "puussa {tree} on {n} norkko | puussa {tree} on {n} norkkoa",
	ReportCatkinsSeen:   "puussa {tree} on norkkoja",
	ReportCatkinsSite:   "kaikissa puissa on norkkoja",
	ReportNoCatkins:     "puussa {tree} ei ole tänä vuonna norkkoja",
	ReportNoCatkinsSite: "missään puussa ei ole tänä vuonna norkkoja",
	ReportAway:          "poissa {from} – {until}",
	ReportProblem:       "ongelma: {note}",
	ReportUnsafe:        "sinne ei voi mennä turvallisesti",
	ReportNoPermission:  "sinne ei saa mennä",
}

var finnishLinks = Texts{
	RefusedWithdrawn:   "Tämä linkki on peruttu",
	RefusedWithdrawnDo: "Ohjelman ylläpitäjä on perunut aiemmat linkkisi, kuten tehdään, kun puhelin tai viesti on kadonnut. Seuraavan viestin linkki toimii; siihen asti soita koordinaattorille.",
}

var finnishStandIn = Texts{
	WhyStandsIn:      "Se korvaa sääaseman {station}, joka ei ole antanut käyttökelpoista lukemaa.",
	WhyStandsInSince: "Se korvaa sääaseman {station}, joka ei ole antanut käyttökelpoista lukemaa {day} lähtien.",
}

var finnishYears = Texts{
	YearsOwn:       "{n} oma vuosi | {n} omaa vuotta",
	YearsLent:      "{n} sääasemalta {station} (sen päivät vastaavat kohteen päiviä tarkkuudella {within}; {seen}) | {n} sääasemalta {station} (sen päivät vastaavat kohteen päiviä tarkkuudella {within}; {seen})",
	YearsSeen:      "{n} yhteinen päivä | {n} yhteistä päivää",
	YearsUnseen:    "ei yhteisiä päiviä, korjattu vain korkeuden mukaan",
	YearsGenerated: "{n} kuukausikeskiarvoista tuotettu | {n} kuukausikeskiarvoista tuotettua",
	KelvinForm:     "{n} K",
}
