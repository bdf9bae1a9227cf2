package words

// english is the reference catalogue. Another language is a file like this
// one, with the same keys, entered in languages with .orElse(english).
var english = catalogueOf("en", englishCalendar,
	englishNames, englishSaid, englishReported, englishSteps, englishSpecies, englishMail, englishWhy, englishStandIn, englishPages, englishLinks, englishOverview, englishSeasonReport, englishReply, englishKeptOut, englishYears, englishCells, englishSettings)
