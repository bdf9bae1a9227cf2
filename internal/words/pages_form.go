package words

// The form that the link in a mail opens.
const (
	FormAsked        Key = "form.asked"
	FormDays         Key = "form.days"
	FormEnded        Key = "form.ended"
	FormStored       Key = "form.stored"
	FormStoredAgain  Key = "form.stored-again"
	FormCorrect      Key = "form.correct"
	FormKnown        Key = "form.known"
	FormAnswer       Key = "form.answer"
	FormAnswerKit    Key = "form.answer-kit"
	FormAnswerShort  Key = "form.answer-short"
	FormNoAnswer     Key = "form.no-answer"
	FormGoing        Key = "form.going"
	FormGoingOther   Key = "form.going-other"
	FormOtherDay     Key = "form.other-day"
	FormCannot       Key = "form.cannot"
	FormBest         Key = "form.best"
	FormReport       Key = "form.report"
	FormDay          Key = "form.day"
	FormDayHint      Key = "form.day-hint"
	FormStages       Key = "form.stages"
	FormNoWord       Key = "form.no-word"
	FormSeen         Key = "form.seen"
	FormNotYet       Key = "form.not-yet"
	FormBags         Key = "form.bags"
	FormBagsHint     Key = "form.bags-hint"
	FormOff          Key = "form.off"
	FormOffHint      Key = "form.off-hint"
	FormPicked       Key = "form.picked"
	FormPickedHint   Key = "form.picked-hint"
	FormAllOn        Key = "form.all-on"
	FormAllOff       Key = "form.all-off"
	FormNothing      Key = "form.nothing"
	FormTree         Key = "form.tree"
	FormOtherTrees   Key = "form.other-trees"
	FormSelfingBags  Key = "form.selfing-bags"
	FormControlBags  Key = "form.control-bags"
	FormSelfingPacks Key = "form.selfing-packets"
	FormControlPacks Key = "form.control-packets"
	FormTreeOff      Key = "form.tree-off"
	FormTreeNothing  Key = "form.tree-nothing"
	FormStillToPut   Key = "form.still-to-put"
	FormHanging      Key = "form.hanging"
	FormSeed         Key = "form.seed"
	FormSeedBrown    Key = "form.seed-brown"
	FormSeedGreen    Key = "form.seed-green"
	FormKit          Key = "form.kit"
	FormKitArrived   Key = "form.kit-arrived"
	FormShort        Key = "form.short"
	FormUnderstood   Key = "form.understood"
	FormAway         Key = "form.away"
	FormAwayFrom     Key = "form.away-from"
	FormAwayUntil    Key = "form.away-until"
	FormUnsafe       Key = "form.unsafe"
	FormNoPermission Key = "form.no-permission"
	FormProblem      Key = "form.problem"
	FormPhotos       Key = "form.photos"
	FormPhotosHint   Key = "form.photos-hint"
	FormSurvey       Key = "form.survey"
	FormSurveyHint   Key = "form.survey-hint"
	FormBareSite     Key = "form.bare-site"
	FormBears        Key = "form.bears"
	FormNoCatkins    Key = "form.no-catkins"
	FormCount        Key = "form.count"
	FormCheck        Key = "form.check"
	FormCheckHint    Key = "form.check-hint"
	FormAllFine      Key = "form.all-fine"
	FormWhole        Key = "form.whole"
	FormTorn         Key = "form.torn"
	FormTornSelfing  Key = "form.torn-selfing"
	FormTornControl  Key = "form.torn-control"
	FormGreenTip     Key = "form.green-tip"
	FormLots         Key = "form.lots"
	FormLotsHint     Key = "form.lots-hint"
	FormReceived     Key = "form.received"
	FormSend         Key = "form.send"
	FormExpires      Key = "form.expires"
)

// What a form can be told to mend.
const (
	ProblemsTitle       Key = "problem.title"
	ProblemOf           Key = "problem.of"
	ProblemOfTree       Key = "problem.of-tree"
	ProblemNothing      Key = "problem.nothing"
	ProblemChanged      Key = "problem.changed"
	ProblemTwice        Key = "problem.twice"
	ProblemPhotosAgain  Key = "problem.photos-again"
	PhotoPlace          Key = "photo.place"
	PhotoDamaged        Key = "photo.damaged"
	PhotoKind           Key = "photo.kind"
	PhotoLarge          Key = "photo.large"
	ProblemCount        Key = "problem.count"
	ProblemTree         Key = "problem.tree"
	ProblemChoice       Key = "problem.choice"
	ProblemDate         Key = "problem.date"
	ProblemFuture       Key = "problem.future"
	ProblemSeason       Key = "problem.season"
	ProblemPast         Key = "problem.past"
	ProblemFar          Key = "problem.far"
	ProblemOtherDay     Key = "problem.other-day"
	ProblemTwoAnswers   Key = "problem.two-answers"
	ProblemStages       Key = "problem.stages"
	ProblemZeroPacks    Key = "problem.zero-packets"
	ProblemBothPicked   Key = "problem.both-picked"
	ProblemBothCatkins  Key = "problem.both-catkins"
	ProblemBothGreen    Key = "problem.both-green"
	ProblemBothTorn     Key = "problem.both-torn"
	ProblemAwayDays     Key = "problem.away-days"
	ProblemAwayOrder    Key = "problem.away-order"
	ProblemLong         Key = "problem.long"
	ProblemNothingAtAll Key = "problem.nothing-at-all"
)

var englishForm = Texts{
	FormAsked:        "{person}, this is asked of you:",
	FormDays:         "Days: {days}",
	FormEnded:        "Nothing more is asked here: {reason}. You can still report or correct something.",
	FormStored:       "Stored. Thank you!",
	FormStoredAgain:  "This was stored already; nothing was added.",
	FormCorrect:      "Something wrong? Fill it in once more below: the later report counts.",
	FormKnown:        "Known so far",
	FormAnswer:       "Will you go?",
	FormAnswerKit:    "When will you send it?",
	FormAnswerShort:  "Will you see to it?",
	FormNoAnswer:     "No answer now",
	FormGoing:        "Yes, on {day}",
	FormGoingOther:   "Yes, on another day:",
	FormOtherDay:     "The other day",
	FormCannot:       "I can't: ask somebody else",
	FormBest:         "(best)",
	FormReport:       "What is there to report?",
	FormDay:          "Day on which it was seen or done",
	FormDayHint:      "Today, or an earlier day of this season.",
	FormStages:       "What is to be seen at the site?",
	FormNoWord:       "no word",
	FormSeen:         "seen",
	FormNotYet:       "not yet",
	FormBags:         "Bags on the trees",
	FormBagsHint:     "Count all bags that are on the tree now. Leave a tree empty if nothing is new.",
	FormOff:          "Bags taken off",
	FormOffHint:      "Tick a tree when its last bag is off and the places are marked.",
	FormPicked:       "Packets picked",
	FormPickedHint:   "Selfing and control each in packets of their own. Leave a tree empty if nothing is new.",
	FormAllOn:        "All as asked, selfing + control: {trees}",
	FormAllOff:       "All off: {trees}",
	FormNothing:      "Nothing to pick at the whole site",
	FormTree:         "Tree {short} ({code})",
	FormOtherTrees:   "Other trees of the site",
	FormSelfingBags:  "Selfing bags on it",
	FormControlBags:  "Control bags on it",
	FormSelfingPacks: "Selfing packets",
	FormControlPacks: "Control packets",
	FormTreeOff:      "All bags off",
	FormTreeNothing:  "Nothing to pick",
	FormStillToPut:   "Still to put on: {bags}",
	FormHanging:      "Bags on it: {bags}",
	FormSeed:         "How does the seed look?",
	FormSeedBrown:    "Brown",
	FormSeedGreen:    "Still green",
	FormKit:          "The kit",
	FormKitArrived:   "The kit has arrived",
	FormShort:        "Short season",
	FormUnderstood:   "I have seen this",
	FormAway:         "I am away:",
	FormAwayFrom:     "First day away",
	FormAwayUntil:    "Last day away",
	FormUnsafe:       "Nobody can go without danger: tell the coordinator",
	FormNoPermission: "Going there isn't allowed: tell the coordinator",
	FormPhotos:       "Photos",
	FormPhotosHint:   "They go to the coordinator, without the place where they were taken. On a bad line, send the report first.",
	FormProblem:      "A problem, or anything else that the coordinator should know",
	FormSurvey:       "Catkins on the trees",
	FormSurveyHint:   "Count on a branch that could be bagged, and estimate. Leave a tree empty if you haven't looked at it.",
	FormBareSite:     "No tree of the site bears catkins this year",
	FormBears:        "Bears catkins",
	FormNoCatkins:    "None this year",
	FormCount:        "Catkins, if counted",
	FormCheck:        "Bags on the trees",
	FormCheckHint:    "Say how many are torn. Bags that you have replaced already: report the bags on the tree in the form of bagging.",
	FormAllFine:      "All looked at, all whole: {trees}",
	FormWhole:        "Whole",
	FormTorn:         "Torn",
	FormTornSelfing:  "Selfing bags torn",
	FormTornControl:  "Control bags torn",
	FormGreenTip:     "Green tips: this tree is left for this year",
	FormLots:         "Packets received",
	FormLotsHint:     "Fill in what has arrived, selfing and control.",
	FormReceived:     "All of this tree has arrived",
	FormSend:         "Send",
	FormExpires:      "This link works until {day}. It is meant for {person} only: don't pass it on.",
}

var englishFormProblems = Texts{
	ProblemsTitle:       "Nothing is stored yet. Please mend this:",
	ProblemOf:           "{field}: {problem}",
	ProblemOfTree:       "{tree}, {field}: {problem}",
	ProblemNothing:      "Nothing is filled in: answer, or report something.",
	ProblemChanged:      "The form has changed since you opened it. Look it over and send it once more.",
	ProblemPhotosAgain:  "Choose the photos once more: they don't stay in the form.",
	PhotoPlace:          "A photo was left out: the place where it was taken can't be removed from it. Set the camera to JPEG, or send a screenshot of it.",
	PhotoDamaged:        "A photo was left out: it is damaged, or the line broke off. Send it again.",
	PhotoKind:           "A file was left out: it is no JPEG, PNG or WebP picture.",
	PhotoLarge:          "A photo was left out: it was too large, or there were too many at once. Send fewer, or smaller ones.",
	ProblemTwice:        "This was given twice and differently. Fill it in once.",
	ProblemCount:        "Write a whole number from 0 to {max}.",
	ProblemTree:         "Tree {tree} isn't known at this site. Look the form over and send it once more.",
	ProblemChoice:       "Choose one of the answers given.",
	ProblemDate:         "Write the day as year-month-day, for example {example}.",
	ProblemFuture:       "This day is still to come. Today is {today}.",
	ProblemSeason:       "This day lies before the season of {year}.",
	ProblemPast:         "This day is past. Today is {today}.",
	ProblemFar:          "This day lies after the season of {year}.",
	ProblemOtherDay:     "Fill in the other day.",
	ProblemTwoAnswers:   "Another day is filled in but something else is chosen. Empty the day, or choose it.",
	ProblemStages:       "“{later}” was seen, but “{earlier}” not yet: one of the two can't be.",
	ProblemZeroPacks:    "No packets? Then tick that there was nothing to pick.",
	ProblemBothPicked:   "Packets and nothing to pick: one of the two can't be.",
	ProblemBothCatkins:  "Catkins and none this year: one of the two can't be.",
	ProblemBothGreen:    "Bags are on, and the tree is left for its green tips: one of the two can't be.",
	ProblemBothTorn:     "Torn bags are filled in, but something else is chosen: one of the two can't be.",
	ProblemAwayDays:     "Fill in both days of the absence.",
	ProblemAwayOrder:    "The last day lies before the first.",
	ProblemLong:         "This is too long: at most {max} characters. Ring the coordinator for more.",
	ProblemNothingAtAll: "Nothing to pick at the whole site, but packets are filled in below: one of the two can't be.",
}
