package words

// The frame of a mail, its subject, and the facts of an item.
const (
	MailFrame      Key = "mail.frame"
	MailLate       Key = "mail.late"
	MailFooter     Key = "mail.footer"
	SubjectMore    Key = "subject.more"
	SubjectGo      Key = "subject.go"
	SubjectBy      Key = "subject.by"
	SubjectAlone   Key = "subject.alone"
	SubjectLabel   Key = "subject.label"
	SubjectLabelAt Key = "subject.label-at"
	SubjectLabelBy Key = "subject.label-by"
	SubjectOps     Key = "subject.ops"
	SubjectTest    Key = "subject.test"

	LabelExpected  Key = "label.expected"
	LabelDiffer    Key = "label.differ"
	LabelProblem   Key = "label.problem"
	LabelEarly     Key = "label.early"
	LabelPackets   Key = "label.packets"
	LabelReplace   Key = "label.replace"
	LabelAhead     Key = "label.ahead"
	LabelGo        Key = "label.go"
	LabelDecide    Key = "label.decide"
	LabelSend      Key = "label.send"
	LabelHurry     Key = "label.hurry"
	LabelOverdue   Key = "label.overdue"
	LabelLookFirst Key = "label.look-first"
	LabelTooLate   Key = "label.too-late"
	LabelNotNeeded Key = "label.not-needed"
	LabelDone      Key = "label.done"
	LabelMoved     Key = "label.moved"
	LabelPromise   Key = "label.promise"
	LabelPassed    Key = "label.passed"
	LabelNobody    Key = "label.nobody"

	FactSaid     Key = "fact.said"
	FactChecked  Key = "fact.checked"
	FactSurvey   Key = "fact.survey"
	FactLots     Key = "fact.lots"
	FactInside   Key = "fact.inside"
	FactWhen     Key = "fact.when"
	FactWhere    Key = "fact.where"
	FactTrees    Key = "fact.trees"
	FactPack     Key = "fact.pack"
	FactPutOn    Key = "fact.put-on"
	FactBagged   Key = "fact.bagged"
	FactHanging  Key = "fact.hanging"
	FactSecond   Key = "fact.second"
	FactWhy      Key = "fact.why"
	FactHow      Key = "fact.how"
	FactHowTask  Key = "fact.how-task"
	FactLook     Key = "fact.look"
	FactCautions Key = "fact.cautions"
	FactAsked    Key = "fact.asked"
	FactPhone    Key = "fact.phone"

	DaysBy       Key = "days.by"
	WhenDays     Key = "when.days"
	WhenProbably Key = "when.probably"
	WhenUntil    Key = "when.until"
	WhenYours    Key = "when.yours"
	WhenBest     Key = "when.best"
	WhenKit      Key = "when.kit"
	WhenKitPast  Key = "when.kit-past"
	WhenPast     Key = "when.past"
	WhenSafePast Key = "when.safe-past"
	WhenShort    Key = "when.short"
	WhenLot      Key = "when.lot"
	WhenLotPast  Key = "when.lot-past"
	TreeDoubtful Key = "tree.doubtful"
	TreeThen     Key = "tree.then"
	WhereSite    Key = "where.site"
	TreeName     Key = "tree.name"
	TreeLine     Key = "tree.line"
	TreesSum     Key = "trees.sum"
	EarliestTree Key = "tree.earliest"

	NoteDiffer     Key = "note.differ"
	NoteProblem    Key = "note.problem"
	NoteEarly      Key = "note.early"
	NotePackets    Key = "note.packets"
	NoteReplace    Key = "note.replace"
	SaidBy         Key = "said.by"
	NotePlan       Key = "note.plan"
	NotePlanNear   Key = "note.plan-near"
	NoteMoved      Key = "note.moved"
	NoteBecause    Key = "note.because"
	NotePromise    Key = "note.promise"
	NotePassed     Key = "note.passed"
	NoteRingFirst  Key = "note.ring-first"
	NoteNobody     Key = "note.nobody"
	NoteNotNeeded  Key = "note.not-needed"
	NoteDone       Key = "note.done"
	NoteTooLate    Key = "note.too-late"
	NoteBudsClosed Key = "note.buds-closed"
	NoteSeedHolds  Key = "note.seed-holds"
	AskedOn        Key = "asked.on"
	ContactRole    Key = "contact.role"

	ButtonAnswer Key = "button.answer"
	AnswerTask   Key = "answer.task"
	AnswerLots   Key = "answer.lots"
	AnswerSeen   Key = "answer.seen"
	AnswerLook   Key = "answer.look"
	AnswerUntil  Key = "answer.until"

	OpsIntro  Key = "ops.intro"
	TestIntro Key = "test.intro"
	TestDone  Key = "test.done"
)

var englishMail = Texts{
	MailFrame:      "{programme}. Written {moment}, for {name}.",
	MailLate:       "This comes late: it was due earlier, while the program stood still. It says how things stand on {day}.",
	MailFooter:     "Sent by Budcall for {programme}.",
	SubjectMore:    "{subject}, and {n} more | {subject}, and {n} more",
	SubjectGo:      "{task}: {days}",
	SubjectBy:      "{task} {days}",
	SubjectAlone:   "{task}",
	SubjectLabel:   "{label}: {task}",
	SubjectLabelAt: "{label}: {task}, {days}",
	SubjectLabelBy: "{label}: {task} {days}",
	SubjectOps:     "{programme}: {n} thing to look after | {programme}: {n} things to look after",
	SubjectTest:    "Test mail from {programme}",

	LabelExpected:  "On its way",
	LabelDiffer:    "Reports differ",
	LabelProblem:   "Problem reported",
	LabelEarly:     "Reported very early",
	LabelPackets:   "Packets differ",
	LabelReplace:   "Bags torn",
	LabelAhead:     "Coming up",
	LabelGo:        "The days have come",
	LabelDecide:    "To be decided",
	LabelSend:      "To be sent",
	LabelHurry:     "Last days",
	LabelOverdue:   "Overdue",
	LabelLookFirst: "Look first",
	LabelTooLate:   "Too late",
	LabelNotNeeded: "No longer needed",
	LabelDone:      "Done",
	LabelMoved:     "Days moved",
	LabelPromise:   "No report yet",
	LabelPassed:    "Passed on to you",
	LabelNobody:    "Nobody else to ask",

	FactSaid:     "What was reported",
	FactChecked:  "Bags to look at",
	FactSurvey:   "Trees to survey",
	FactLots:     "Packets to expect",
	FactInside:   "In this mail",
	FactWhen:     "When",
	FactWhere:    "Where",
	FactTrees:    "Trees",
	FactPack:     "To pack",
	FactPutOn:    "To put on",
	FactBagged:   "Bagged in spring",
	FactHanging:  "Bags that hang",
	FactSecond:   "Second trip",
	FactWhy:      "Why",
	FactHow:      "How it is done",
	FactHowTask:  "How it is done: {task}",
	FactLook:     "Look first, tree by tree",
	FactCautions: "Before you go",
	FactAsked:    "Asked before you",
	FactPhone:    "By phone",

	DaysBy:       "by {day}",
	WhenDays:     "{days}.",
	WhenProbably: "Probably {days}.",
	WhenUntil:    "From now until {day}.",
	WhenYours:    "Of these you can go on {days}.",
	WhenBest:     "Best: {day}.",
	WhenKit:      "It must leave by {day}, to arrive before the first bags go on.",
	WhenKitPast:  "At once: it should have left by {day}, to arrive before the first bags go on.",
	WhenPast:     "As soon as you can: the last day was {day}.",
	WhenSafePast: "As soon as you can: {day}, the last safe day, is past.",
	WhenShort:    "Seed that isn't ripe by {day} is lost to this season.",
	WhenLot:      "By {day}.",
	WhenLotPast:  "It should have arrived by {day}.",
	TreeThen:     "{tree}. With those that hang already: {bags}, which is what to report",
	TreeDoubtful: "{tree}. A bag was found torn on {day}, after flowering had begun: its seed is doubtful.",
	WhereSite:    "{site} ({code})",
	TreeName:     "{tree} ({code})",
	TreeLine:     "{tree}: {bags}",
	TreesSum:     "{head}: {bags}, {trees}",
	EarliestTree: "The earliest tree: {odds} that its buds have broken already.",

	NoteDiffer:     "Two people reported what can't both be. Both reports are kept; until you say otherwise, the later one counts. Please ring them, and report what is right.",
	NoteEarly:      "By the temperatures this can hardly have been done with success on that day: is the day right, and the tree? It was stored as reported. If it is right, the seed is in doubt.",
	NotePackets:    "Other packets came than were picked. Both reports are kept. Please ring the people below: is a packet still under way, lost, or under another code? Then report what is right.",
	NoteProblem:    "Somebody reported a problem. Nothing else was changed by it; please see to it.",
	NoteReplace:    "These bags take the place of torn ones. The sooner they are on, the better; once anything nearby flowers it is too late.",
	SaidBy:         "{who}: {what}",
	NotePlanNear:   "Be ready: these days are near, and it isn't time to go yet. You hear again as soon as it is.",
	NotePlan:       "Time to plan: find somebody to go with you, and see that everything needed is at hand. You hear again the evening before.",
	NoteMoved:      "The days have moved since you were last told.",
	NoteBecause:    "Told now because {reason}.",
	NotePromise:    "You said that you would go, that day is past, and no report has come. Please report what was done, or name another day.",
	NotePassed:     "This comes to you because {reason}.",
	NoteRingFirst:  "Ring before you go: somebody may be on the way already.",
	NoteNobody:     "Everybody who could be asked has been asked. Please ring them and find somebody.",
	NoteNotNeeded:  "No longer needed because {reason}. There is nothing left for you to do.",
	NoteDone:       "Done: {reason}. Thank you.",
	NoteTooLate:    "Too late this year because {reason}. Don't make the trip for it.",
	NoteBudsClosed: "Should you see buds that are still closed, report it: then a look at each tree is worth it again.",
	NoteSeedHolds:  "Should you see catkins that still hold together, pick them and report it.",
	AskedOn:        "{who}, asked {moment}",
	ContactRole:    "{name}, {role}",

	ButtonAnswer: "Answer or report",
	AnswerTask:   "Say which day you go, that you can't, or what you did. A report can be sent later, when there is a connection again.",
	AnswerLots:   "Report the packets as they arrive.",
	AnswerSeen:   "Say that you have seen this, or what was done.",
	AnswerLook:   "Report what you see at the trees.",
	AnswerUntil:  "The link is yours alone and works until {day}.",

	OpsIntro:  "Something needs to be looked after:",
	TestIntro: "This is a test. Nothing needs to be done at the trees.",
	TestDone:  "Mail from {programme} reaches you at this address, {name}.",
}
