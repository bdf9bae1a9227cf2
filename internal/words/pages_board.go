package words

// The season board.
const (
	BoardTitle      Key = "board.title"
	BoardSeason     Key = "board.season"
	BoardAt         Key = "board.at"
	BoardTrouble    Key = "board.trouble"
	BoardNoSites    Key = "board.no-sites"
	BoardAltitude   Key = "board.altitude"
	BoardReading    Key = "board.reading"
	BoardNoReading  Key = "board.no-reading"
	BoardHeat       Key = "board.heat"
	BoardNoHeat     Key = "board.no-heat"
	BoardStages     Key = "board.stages"
	BoardNoStages   Key = "board.no-stages"
	BoardLegend     Key = "board.legend"
	BoardStageSpan  Key = "board.stage-span"
	BoardStageFrom  Key = "board.stage-from"
	BoardStageOpen  Key = "board.stage-open"
	BoardStageAfter Key = "board.stage-after"
	BoardStageSeen  Key = "board.stage-seen"
	BoardCalls      Key = "board.calls"
	BoardNoCalls    Key = "board.no-calls"
	BoardWith       Key = "board.with"
	BoardAnswer     Key = "board.answer"
	BoardTold       Key = "board.told"
	BoardNobodyTold Key = "board.nobody-told"
	BoardEarlier    Key = "board.earlier"
	BoardReports    Key = "board.reports"
	BoardNoReports  Key = "board.no-reports"
	ToldLine        Key = "told.line"
	ToldWaiting     Key = "told.waiting"
	ToldSent        Key = "told.sent"
	ToldRefused     Key = "told.refused"
	ToldGivenUp     Key = "told.given-up"
)

// What was reported, as a sentence without the day.
const (
	ReportLine          Key = "report.line"
	ReportBy            Key = "report.by"
	ReportStageSeen     Key = "report.stage-seen"
	ReportNotYet        Key = "report.not-yet"
	ReportBagsOn        Key = "report.bags-on"
	ReportBagsOff       Key = "report.bags-off"
	ReportAllOff        Key = "report.all-off"
	ReportPicked        Key = "report.picked"
	ReportNothing       Key = "report.nothing"
	ReportNothingAtAll  Key = "report.nothing-at-all"
	ReportSeedBrown     Key = "report.seed-brown"
	ReportSeedGreen     Key = "report.seed-green"
	ReportKit           Key = "report.kit"
	ReportUnderstood    Key = "report.understood"
	ReportGoing         Key = "report.going"
	ReportCannot        Key = "report.cannot"
	ReportSelfingPacket Key = "report.selfing-packets"
	ReportControlPacket Key = "report.control-packets"
)

// The picture of a site's season.
const (
	ChartTitle     Key = "chart.title"
	ChartDesc      Key = "chart.desc"
	ChartHeat      Key = "chart.heat"
	ChartNeed      Key = "chart.need"
	ChartShare     Key = "chart.share"
	ChartForecast  Key = "chart.forecast"
	ChartReading   Key = "chart.reading"
	ChartIssued    Key = "chart.issued"
	ChartSame      Key = "chart.same"
	ChartCalls     Key = "chart.calls"
	ChartReports   Key = "chart.reports"
	ChartNothing   Key = "chart.nothing"
	ChartStandings Key = "chart.standings"
	ChartRange     Key = "chart.range"
)

var englishBoard = Texts{
	BoardTitle:      "Season board",
	BoardSeason:     "{programme}, {year}",
	BoardAt:         "As of {moment}",
	BoardTrouble:    "To be looked after",
	BoardNoSites:    "No site is known for this season.",
	BoardAltitude:   "{n} m above the sea",
	BoardReading:    "Last reading: {mean} on {day}, station {station}",
	BoardNoReading:  "No reading yet this season.",
	BoardHeat:       "Heat for bud break: {heat} of about {need} degree days",
	BoardNoHeat:     "No heat sum yet this season.",
	BoardStages:     "Stages",
	BoardNoStages:   "Nothing can be forecast yet.",
	BoardLegend:     "Bar: 8 in 10. Upright stroke: as likely before as after. Ring: seen. Dotted line: today.",
	BoardStageSpan:  "{p50} ({p10} – {p90})",
	BoardStageFrom:  "{p50} (from {p10})",
	BoardStageOpen:  "from {p10} at the earliest",
	BoardStageAfter: "not within this season",
	BoardStageSeen:  "seen {day}",
	BoardCalls:      "What is to be done",
	BoardNoCalls:    "Nothing yet.",
	BoardWith:       "with {person}",
	BoardAnswer:     "answered: {answer}",
	BoardTold:       "Told",
	BoardNobodyTold: "Nobody was told anything yet.",
	BoardEarlier:    "Earlier ({n})",
	BoardReports:    "Reported",
	BoardNoReports:  "Nothing was reported yet.",
	ToldLine:        "{at}, {person}: {task}, {standing} ({reason}).",
	ToldWaiting:     "Mail not sent yet.",
	ToldSent:        "Mail sent.",
	ToldRefused:     "Mail refused.",
	ToldGivenUp:     "Mail given up.",
}

var englishReports = Texts{
	ReportLine:          "{day}: {what}",
	ReportBy:            "{what} ({person})",
	ReportStageSeen:     "{stage} seen",
	ReportNotYet:        "{stage} not yet seen",
	ReportBagsOn:        "bags on {tree}: {bags}",
	ReportBagsOff:       "bags off {tree}",
	ReportAllOff:        "all bags off",
	ReportPicked:        "picked from {tree}: {packets}",
	ReportNothing:       "nothing to pick from {tree}",
	ReportNothingAtAll:  "nothing to pick",
	ReportSeedBrown:     "seed brown",
	ReportSeedGreen:     "seed still green",
	ReportKit:           "kit arrived",
	ReportUnderstood:    "short season: taken note of",
	ReportGoing:         "going on {on}",
	ReportCannot:        "can't go",
	ReportSelfingPacket: "{n} selfing packet | {n} selfing packets",
	ReportControlPacket: "{n} control packet | {n} control packets",
}

var englishChart = Texts{
	ChartTitle:     "{site}, season {year}",
	ChartDesc:      "From above: heat collected as a share of what each stage needs; how the forecast of each stage narrowed from issue to issue; the days of each task; and what was reported.",
	ChartHeat:      "Heat, as a share of the median need",
	ChartNeed:      "{stage}: {need} degree days",
	ChartShare:     "{n} %",
	ChartForecast:  "Forecast, as it was issued (downwards) for which day (across)",
	ChartReading:   "Shaded: 8 in 10. Line: as likely before as after.",
	ChartIssued:    "issued",
	ChartSame:      "the day of issue itself",
	ChartCalls:     "Days of each task",
	ChartReports:   "Reported",
	ChartNothing:   "Nothing",
	ChartStandings: "Standing:",
	ChartRange:     "{stage}: {p50} ({p10} – {p90})",
}
