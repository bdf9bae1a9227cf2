// Package call is what people can be called for: the task, its standing on a
// day, and the reason for it, each from a closed list of our own words.
package call

import "budcall/internal/civil"

// Task is what somebody is asked to do at a site, or for it.
type Task string

// The tasks of a season, in its order.
const (
	SurveyTrees Task = "survey trees"
	SendKit     Task = "send kit"
	LookAtBuds  Task = "look at buds"
	BagOn       Task = "bag on"
	CheckBags   Task = "check bags"
	TakeOff     Task = "take off"
	LookAtSeed  Task = "look at seed"
	PickSeed    Task = "pick seed"
	LotExpected Task = "lot expected"
	ShortSeason Task = "short season"
)

// Tasks lists every task in the order of the season.
var Tasks = []Task{SurveyTrees, SendKit, LookAtBuds, BagOn, CheckBags, TakeOff, LookAtSeed, PickSeed, LotExpected, ShortSeason}

// Standing is how a call stands on a day.
type Standing string

// The standings; each has one meaning.
const (
	Quiet     Standing = ""           // too far off to speak of
	Ahead     Standing = "ahead"      // coming: time to plan
	Go        Standing = "go"         // the days have come (from the evening before)
	Hurry     Standing = "hurry"      // the last days
	LookFirst Standing = "look first" // the last day is past, some trees may still do
	TooLate   Standing = "too late"   // reported or nearly sure to be past
	Done      Standing = "done"       // reported
	NotNeeded Standing = "not needed" // overtaken by another report or the season's end
)

// Ended reports whether nothing is asked of anybody any more.
func (s Standing) Ended() bool { return s == TooLate || s == Done || s == NotNeeded }

// Asks reports whether somebody is asked to act now.
func (s Standing) Asks() bool { return s == Go || s == Hurry || s == LookFirst }

// Reason is why a call stands as it does, or why somebody is told.
type Reason string

// The reasons; the word is stored, logged, counted and explained in mails.
const (
	FarOff          Reason = "far off"            // more days ahead than are worth planning
	DaysComing      Reason = "days coming"        // within the time that planning takes
	BestDaysBegin   Reason = "best days begin"    // waiting one more day no longer lowers the loss
	LastDaysBegin   Reason = "last days begin"    // two days or fewer are left
	LastDayPast     Reason = "last day past"      // but the chance of being too late isn't near 1
	ReportedPast    Reason = "reported past"      // the stage that ends the days was seen
	NearlySurePast  Reason = "nearly sure past"   // P >= 0.95 by heat alone
	Reported        Reason = "reported"           // done, by a report
	StillClosed     Reason = "still closed"       // a later look found the buds closed
	SeenBrown       Reason = "seen brown"         // seed reported brown before the forecast says so
	NoBagsOn        Reason = "no bags on"         // nothing hangs, so there is nothing to take off or pick
	BagsAlreadyOn   Reason = "bags already on"    // so that what comes before them is no longer needed
	BaggingOver     Reason = "bagging over"       // the same, since none can go on any more
	SeasonOver      Reason = "season over"        // past the season's end
	SeedInDoubt     Reason = "seed in doubt"      // ripe before the season's end is less likely than not
	SeedLikely      Reason = "seed likely"        // it is likely again
	DaysMoved       Reason = "days moved"         // by as much as is worth another mail
	AnswerOverdue   Reason = "answer overdue"     // the time allowed for an answer is past
	CannotGo        Reason = "can't go"           // answered so
	PromisePast     Reason = "promised day past"  // said to go on a day, and no report came
	MailReturned    Reason = "mail returned"      // the address refused it for good
	NobodyElseKnown Reason = "nobody else to ask" // the chain of people is used up
	SurveyTime      Reason = "survey time"        // the weeks in which trees are surveyed have come
	LookHelps       Reason = "look helps"         // what a look finds is likely to move the days of bagging
	StationSilent   Reason = "station silent"     // the site's own thermometer reports nothing
	BaggingBegins   Reason = "bagging begins"     // whoever bags sees what was to be looked at
	TooLateToHelp   Reason = "too late to help"   // a survey or look that would change nothing any more
	NoCatkins       Reason = "no catkins"         // no living tree of the site bears any this year
	StrongWind      Reason = "strong wind"        // it blew hard on a day on which bags hung
	LookDue         Reason = "look due"           // nobody has looked at the bags for the days set
	TakingOff       Reason = "taking off begins"  // whoever takes the bags off sees them
	BagsTorn        Reason = "bags torn"          // bags tore before flowering and must be replaced
	SeedPicked      Reason = "seed picked"        // its lots are on the way to the laboratory
	LotOverdue      Reason = "lot overdue"        // and haven't arrived in the days set
	NothingPicked   Reason = "nothing picked"     // so that no lot will come
	IsAway          Reason = "away"               // whoever was to be asked is away
	Unsafe          Reason = "unsafe"             // answered that nobody can go without danger
	NoPermission    Reason = "no permission"      // answered that going isn't allowed
	ReportsDiffer   Reason = "reports differ"     // two people reported what can't both be
	ProblemReported Reason = "problem reported"   // somebody wrote of a problem
	ReportedEarly   Reason = "reported early"     // on a day on which it can hardly have been right
	PacketsDiffer   Reason = "packets differ"     // other packets came to the laboratory than were picked
)

// Raised tells whether the reason asks the coordinator about reports, however
// the call stands, and nobody for the task.
func (r Reason) Raised() bool {
	switch r {
	case ReportsDiffer, ProblemReported, PacketsDiffer, ReportedEarly:
		return true
	}
	return false
}

// Told is what somebody was told last about a call.
type Told struct {
	Standing Standing    `json:"standing,omitempty"`
	Days     civil.Range `json:"days,omitzero"`
	On       civil.Date  `json:"on,omitempty"`
}
