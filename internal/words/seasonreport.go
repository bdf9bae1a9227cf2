package words

// The season report: its frame, its parts and the headings of their columns.
const (
	SeasonTitle   Key = "season.title"
	SeasonWritten Key = "season.written"
	SeasonFiles   Key = "season.files"
	SeasonFact    Key = "season.fact"
	SeasonNone    Key = "season.none"
	SeasonNobody  Key = "season.nobody"

	SeasonCalls         Key = "season.calls"
	SeasonCallsNote     Key = "season.calls-note"
	SeasonChanges       Key = "season.changes"
	SeasonChangesNote   Key = "season.changes-note"
	SeasonTold          Key = "season.told"
	SeasonToldNote      Key = "season.told-note"
	SeasonAnswers       Key = "season.answers"
	SeasonAnswersNote   Key = "season.answers-note"
	SeasonReports       Key = "season.reports"
	SeasonReportsNote   Key = "season.reports-note"
	SeasonScores        Key = "season.scores"
	SeasonScoresNote    Key = "season.scores-note"
	SeasonForecasts     Key = "season.forecasts"
	SeasonForecastsNote Key = "season.forecasts-note"
	SeasonTrees         Key = "season.trees"
	SeasonTreesNote     Key = "season.trees-note"
	SeasonBags          Key = "season.bags"
	SeasonBagsNote      Key = "season.bags-note"
	SeasonLots          Key = "season.lots"
	SeasonLotsNote      Key = "season.lots-note"
	SeasonUnplaced      Key = "season.unplaced"
	SeasonUnplacedNote  Key = "season.unplaced-note"
	SeasonIsolation     Key = "season.isolation"
	SeasonIsolationNote Key = "season.isolation-note"
)

// Headings of the season report's columns.
const (
	ColumnSite           Key = "column.site"
	ColumnCall           Key = "column.call"
	ColumnStanding       Key = "column.standing"
	ColumnReason         Key = "column.reason"
	ColumnFirst          Key = "column.first"
	ColumnLast           Key = "column.last"
	ColumnSince          Key = "column.since"
	ColumnPerson         Key = "column.person"
	ColumnAt             Key = "column.at"
	ColumnPassed         Key = "column.passed"
	ColumnState          Key = "column.state"
	ColumnDay            Key = "column.day"
	ColumnSaid           Key = "column.said"
	ColumnWay            Key = "column.way"
	ColumnBbch           Key = "column.bbch"
	ColumnSeen           Key = "column.seen"
	ColumnNotYet         Key = "column.not-yet"
	ColumnLeadDays       Key = "column.lead-days"
	ColumnIssued         Key = "column.issued"
	ColumnP10            Key = "column.p10"
	ColumnP50            Key = "column.p50"
	ColumnP90            Key = "column.p90"
	ColumnErrorDays      Key = "column.error-days"
	ColumnCrpsDays       Key = "column.crps-days"
	ColumnMeanDateDays   Key = "column.mean-date-days"
	ColumnRegressionDays Key = "column.regression-days"
	ColumnTree           Key = "column.tree"
	ColumnCode           Key = "column.code"
	ColumnGone           Key = "column.gone"
	ColumnBears          Key = "column.bears"
	ColumnCatkins        Key = "column.catkins"
	ColumnBags           Key = "column.bags"
	ColumnLots           Key = "column.lots"
	ColumnKind           Key = "column.kind"
	ColumnOn             Key = "column.on"
	ColumnDoubtfulSince  Key = "column.doubtful-since"
	ColumnDoubt          Key = "column.doubt"
	ColumnOff            Key = "column.off"
	ColumnPackets        Key = "column.packets"
	ColumnPicked         Key = "column.picked"
	ColumnCame           Key = "column.came"
	ColumnReceived       Key = "column.received"
	ColumnCondition      Key = "column.condition"
	ColumnWritten        Key = "column.written"
	ColumnNear           Key = "column.near"
	ColumnInto           Key = "column.into"
	ColumnPlacedBy       Key = "column.placed-by"
	ColumnPlaced         Key = "column.placed"
	ColumnWhy            Key = "column.why"
	ColumnSelfingLot     Key = "column.selfing-lot"
	ColumnSelfingFilled  Key = "column.selfing-filled"
	ColumnSelfingOf      Key = "column.selfing-of"
	ColumnSelfingCatkins Key = "column.selfing-catkins"
	ColumnControlLot     Key = "column.control-lot"
	ColumnControlFilled  Key = "column.control-filled"
	ColumnControlOf      Key = "column.control-of"
	ColumnControlCatkins Key = "column.control-catkins"
	ColumnRatio          Key = "column.ratio"
	ColumnRatioLow       Key = "column.ratio-low"
	ColumnRatioHigh      Key = "column.ratio-high"
)

var englishSeasonReport = together(englishSeasonFrame, englishColumns, englishIsolation)

var englishSeasonFrame = Texts{
	SeasonTitle:   "{programme}, season {year}",
	SeasonWritten: "Written {moment}, from everything that is stored.",
	SeasonFiles:   "The same rows, complete and with codes for people and calls, are in the CSV files beside this page.",
	SeasonFact:    "{head}: {n}",
	SeasonNone:    "None.",
	SeasonNobody:  "nobody was left to ask",

	SeasonCalls:         "Calls",
	SeasonCallsNote:     "Every call of the season as it stands, or stood at its end. Also in {file}.",
	SeasonChanges:       "How calls changed",
	SeasonChangesNote:   "Every change of standing, oldest first; the days are those that held then. Also in {file}.",
	SeasonTold:          "What was told to whom",
	SeasonToldNote:      "Everything that somebody was told, newest last, and how the mail stands. Also in {file}.",
	SeasonAnswers:       "Answers",
	SeasonAnswersNote:   "What people said they would or couldn't do. An answer ends nothing. Also in {file}.",
	SeasonReports:       "Reports",
	SeasonReportsNote:   "What people reported, in the order in which it came; a later report corrects an earlier one. Also in {file}.",
	SeasonScores:        "Forecasts scored",
	SeasonScoresNote:    "Each forecast of a stage that was then seen, from so many days before. The error is the forecast's middle less the nearest day on which the stage may have been reached: above 0 is late. The miss (CRPS, in days) of ours, of the mean date of past years, and of a reckoning from the temperature so far; smaller is better. Also in {file}.",
	SeasonForecasts:     "Forecasts",
	SeasonForecastsNote: "The newest forecast of each stage. Every one that was issued is in {file}.",
	SeasonTrees:         "Trees",
	SeasonTreesNote:     "The programme's trees, with the bags that hung on them and the lots that came of them. Also in {file}.",
	SeasonBags:          "Bags",
	SeasonBagsNote:      "Every bag, and every bag that was needed. Also in {file}.",
	SeasonLots:          "Seed lots",
	SeasonLotsNote:      "One tree, one kind. Also in {file}.",
	SeasonUnplaced:      "Unplaced seed",
	SeasonUnplacedNote:  "Packets that matched no bag when they arrived, and where they were placed since. Also in {file}.",
	SeasonIsolation:     "Isolation check",
	SeasonIsolationNote: "Filled seed per catkin in control bags over that in selfing bags, with its interval (95 %). It bounds from above what foreign pollen can have made. Also in {file}.",
}

var englishColumns = Texts{
	ColumnSite:           "Site",
	ColumnCall:           "Call",
	ColumnStanding:       "Standing",
	ColumnReason:         "Because",
	ColumnFirst:          "From",
	ColumnLast:           "Until",
	ColumnSince:          "Since",
	ColumnPerson:         "Person",
	ColumnAt:             "When",
	ColumnPassed:         "Passed on",
	ColumnState:          "State",
	ColumnDay:            "Day",
	ColumnSaid:           "What",
	ColumnWay:            "By",
	ColumnBbch:           "Stage",
	ColumnSeen:           "Seen",
	ColumnNotYet:         "Not yet on",
	ColumnLeadDays:       "Days before",
	ColumnIssued:         "Issued",
	ColumnP10:            "1 in 10 by",
	ColumnP50:            "Middle",
	ColumnP90:            "9 in 10 by",
	ColumnErrorDays:      "Error, days",
	ColumnCrpsDays:       "Miss",
	ColumnMeanDateDays:   "Mean date's",
	ColumnRegressionDays: "Temperature's",
	ColumnTree:           "Tree",
	ColumnCode:           "Code",
	ColumnGone:           "Gone",
	ColumnBears:          "Bears",
	ColumnCatkins:        "Catkins",
	ColumnBags:           "Bags",
	ColumnLots:           "Lots",
	ColumnKind:           "Kind",
	ColumnOn:             "On",
	ColumnDoubtfulSince:  "Doubtful since",
	ColumnDoubt:          "Doubt",
	ColumnOff:            "Off",
	ColumnPackets:        "Packets",
	ColumnPicked:         "Picked",
	ColumnCame:           "Came",
	ColumnReceived:       "Received",
	ColumnCondition:      "Condition",
	ColumnWritten:        "As written",
	ColumnNear:           "May be",
	ColumnInto:           "Placed into",
	ColumnPlacedBy:       "Placed by",
	ColumnPlaced:         "Placed on",
	ColumnWhy:            "Why",
	ColumnSelfingLot:     "Selfing lot",
	ColumnSelfingFilled:  "Selfing: filled",
	ColumnSelfingOf:      "Selfing: tested",
	ColumnSelfingCatkins: "Selfing: catkins",
	ColumnControlLot:     "Control lot",
	ColumnControlFilled:  "Control: filled",
	ColumnControlOf:      "Control: tested",
	ColumnControlCatkins: "Control: catkins",
	ColumnRatio:          "Ratio",
	ColumnRatioLow:       "Low",
	ColumnRatioHigh:      "High",
}
