package words

// finnish is the catalogue in Finnish. It was not yet read by a native speaker.
var finnish = catalogueOf("fi", finnishCalendar,
	finnishNames, finnishSaid, finnishReported, finnishSteps, finnishSpecies, finnishMail, finnishWhy, finnishStandIn, finnishPages, finnishLinks, finnishOverview, finnishSeasonReport, finnishReply, finnishKeptOut, finnishYears, finnishCells, finnishSettings).orElse(english)

var finnishCalendar = calendar{
	weekdays:  [7]string{"su", "ma", "ti", "ke", "to", "pe", "la"},
	months:    [12]string{"1.", "2.", "3.", "4.", "5.", "6.", "7.", "8.", "9.", "10.", "11.", "12."},
	dayAlone:  "{day}.",
	dayMonth:  "{day}.{month}",
	weekday:   "{weekday} {date}",
	dateYear:  "{date}{year}",
	timeOfDay: "15.04",
	moment:    "{day} klo {time}",
	decimal:   ",",
}

var finnishPages = together(finnishFrame, finnishForm, finnishFormProblems, finnishBoard, finnishSkill, finnishReports, finnishChart)
