package words

// swedish is the catalogue in Swedish. It was not yet read by a native speaker.
var swedish = catalogueOf("sv", swedishCalendar,
	swedishNames, swedishSaid, swedishReported, swedishSteps, swedishSpecies, swedishMail, swedishWhy, swedishStandIn, swedishPages, swedishLinks, swedishOverview, swedishSeasonReport, swedishReply, swedishKeptOut, swedishYears, swedishCells, swedishSettings).orElse(english)

var swedishCalendar = calendar{
	weekdays:  [7]string{"sön", "mån", "tis", "ons", "tors", "fre", "lör"},
	months:    [12]string{"jan.", "feb.", "mars", "april", "maj", "juni", "juli", "aug.", "sept.", "okt.", "nov.", "dec."},
	dayAlone:  "{day}",
	dayMonth:  "{day} {month}",
	weekday:   "{weekday} {date}",
	dateYear:  "{date} {year}",
	timeOfDay: "15.04",
	moment:    "{day} kl. {time}",
	decimal:   ",",
}

var swedishPages = together(swedishFrame, swedishForm, swedishFormProblems, swedishBoard, swedishSkill, swedishReports, swedishChart)
