package words

// The overview that the coordinator gets each week.
const (
	WeekSubject    Key = "week.subject"
	WeekSilentHead Key = "week.silent-head"
	WeekSilent     Key = "week.silent"
	WeekNobody     Key = "week.nobody"
	WeekQuiet      Key = "week.quiet"
	WeekOpen       Key = "week.open"
	WeekOpenAlone  Key = "week.open-alone"
	WeekOpenPast   Key = "week.open-past"
	WeekOpenNobody Key = "week.open-nobody"
	WeekOpenSilent Key = "week.open-silent"
	WeekOpenAnswer Key = "week.open-answer"
	WeekOpenWith   Key = "week.open-with"
	WeekComing     Key = "week.coming"
	WeekStage      Key = "week.stage"
	WeekStageOpen  Key = "week.stage-open"
	WeekTrouble    Key = "week.trouble"
	WeekScore      Key = "week.score"
	WeekScoreGain  Key = "week.score-gain"
	WeekScoreLoss  Key = "week.score-loss"
	WeekScoreHow   Key = "week.score-how"
	WeekNoScore    Key = "week.no-score"
	WeekBoard      Key = "week.board"
)

var englishOverview = Texts{
	WeekSubject:    "Overview, {day}: {open} open, {n} without an answer | Overview, {day}: {open} open, {n} without an answer",
	WeekSilentHead: "No answer yet",
	WeekSilent:     "{task}: {who}, asked {moment}",
	WeekNobody:     "{task}: everybody who could be asked has been asked, last {who}",
	WeekQuiet:      "Nothing open, nothing coming by {day}",
	WeekOpen:       "{task}: {standing}, {days}",
	WeekOpenAlone:  "{task}: {standing}",
	WeekOpenPast:   "{task}: {standing}; the last day was {last}",
	WeekOpenNobody: "{said}. Nobody is left to ask",
	WeekOpenSilent: "{said}. With {who}: no answer yet",
	WeekOpenAnswer: "{said}. {who} on {day}: {what}",
	WeekOpenWith:   "{said}. With {who}",
	WeekComing:     "{task}: coming, probably {days}; with {who}",
	WeekStage:      "Forecast of {stage}: about {day}; 8 in 10 between {first} and {last}",
	WeekStageOpen:  "Forecast of {stage}: about {day}, hardly before {first}",
	WeekTrouble:    "What the ops person has been told",
	WeekScore:      "{lead} days before: off by {off} on the mean of {n} forecast; in range {inside} | {lead} days before: off by {off} on the mean of {n} forecasts; in range {inside}",
	WeekScoreGain:  "{said}; {gain} better than the mean date or the temperature so far",
	WeekScoreLoss:  "{said}; {gain} worse than the mean date or the temperature so far",
	WeekScoreHow:   "A stage comes some day between two visits: a forecast of any of those days is off by 0.0 days. In range: how much of them lay in the days given as 8 in 10.",
	WeekNoScore:    "No stage has been reported seen this season, so that nothing could be scored.",
	WeekBoard:      "Open the season board",
}
