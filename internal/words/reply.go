package words

import (
	"budcall/internal/trail"
)

// What is said of a mail that came in.
const (
	ReplySubjectReceipt Key = "reply.subject-receipt"
	ReplySubjectTap     Key = "reply.subject-tap"
	ReplySubjectUnread  Key = "reply.subject-unread"
	ReplyThanks         Key = "reply.thanks"
	ReplyNothing        Key = "reply.nothing"
	ReplyTooLarge       Key = "reply.too-large"
	ReplyTap            Key = "reply.tap"
	ReplyToCoordinator  Key = "reply.to-coordinator"
	ReplyFromNobody     Key = "reply.from-nobody"
	ReplyFromNobodyFor  Key = "reply.from-nobody-for"
	ReplyUnderstood     Key = "reply.understood"
	ReplyWouldStore     Key = "reply.would-store"
	ReplyUnread         Key = "reply.unread"
	ReplyLine           Key = "reply.line"
	ReplyDropped        Key = "reply.dropped"
	ReplyKeptOutFile    Key = "reply.kept-out"
	ReplyAsks           Key = "reply.asks"
	ReplyPhotos         Key = "reply.photos"
	ReplyButton         Key = "reply.button"
	ReplyButtonUntil    Key = "reply.button-until"
	ReplyPassed         Key = "reply.passed"
	ReplyCorrect        Key = "reply.correct"
	HeldTitle           Key = "held.title"
	HeldDo              Key = "held.do"
	HeldButton          Key = "held.button"
	HeldStored          Key = "held.stored"
	MailtoHead          Key = "mailto.head"
	MailtoTrees         Key = "mailto.trees"
	MailtoWord          Key = "mailto.word"
	MailtoGoing         Key = "mailto.going"
	MailtoCannot        Key = "mailto.cannot"
	ReplyOfTree         Key = "reply.of-tree"
	ReplyOfSite         Key = "reply.of-site"
)

// Why a line wasn't read, and why a person should look, each
// under the word that the memory has for it.
const (
	UnreadWhyNotUnderstood           Key = "unread.not understood"
	UnreadWhyNoSuchTree              Key = "unread.no such tree"
	UnreadWhyTreeOfWhichSite         Key = "unread.tree of which site"
	UnreadWhyTreeIsGone              Key = "unread.tree is gone"
	UnreadWhyCountOutOfRange         Key = "unread.count out of range"
	UnreadWhyNoDayNamed              Key = "unread.no day named"
	UnreadWhyNoSuchDay               Key = "unread.no such day"
	UnreadWhyDayUnclear              Key = "unread.day unclear"
	UnreadWhyDayIsPast               Key = "unread.day is past"
	UnreadWhyDayIsStillAhead         Key = "unread.day is still ahead"
	UnreadWhyDoesntFitWhatWasAsked   Key = "unread.doesn't fit what was asked"
	UnreadWhyAnswersExcludeEachOther Key = "unread.answers exclude each other"
	UnreadWhyHiddenCharacters        Key = "unread.hidden characters"
	AskWhyContradictingReports       Key = "ask.contradicting reports"
	AskWhyEncrypted                  Key = "ask.encrypted"
	AskWhyBrokenMail                 Key = "ask.broken mail"
	AskWhyTooDeeplyNested            Key = "ask.too deeply nested"
	AskWhyTooLong                    Key = "ask.too long"
	AskWhyNoText                     Key = "ask.no text"
	AskWhyAnotherAddress             Key = "ask.another address"
	AskWhyPhotos                     Key = "ask.photos"
	AskWhyLines                      Key = "ask.lines"
	AskWhyUnknownSender              Key = "ask.unknown sender"
)

var englishReply = Texts{
	ReplySubjectReceipt: "Your answer arrived",
	ReplySubjectTap:     "Is this answer yours?",
	ReplySubjectUnread:  "A mail that a person must read",
	ReplyThanks:         "{name}, thank you: your mail of {day} arrived.",
	ReplyNothing:        "{name}, your mail of {day} arrived, and nothing in it could be stored.",
	ReplyTooLarge:       "{name}, your mail of {day} is too large to be read. Send it again with fewer or smaller photos.",
	ReplyTap:            "{name}, a mail of {day} came from your address, and it isn't certain that you wrote it. Nothing was stored. If it is yours, open the page and press the button; if not, do nothing.",
	ReplyToCoordinator:  "A mail from {sender}, of {day}, is attached. Please read it: what a program can't read stands below.",
	ReplyFromNobodyFor:  "A mail from an address that nobody in the programme has, of {day}, is attached. It answers a mail that went to {as}, so what it says was stored as theirs. Please ask them whether it was.",
	ReplyFromNobody:     "A mail from an address that nobody in the programme has, of {day}, is attached. Nothing of it was stored.",
	ReplyUnderstood:     "Stored:",
	ReplyWouldStore:     "It would be stored:",
	ReplyUnread:         "Not understood, and not stored:",
	ReplyLine:           "“{text}” ({why})",
	ReplyDropped:        "Attachments that were left out:",
	ReplyKeptOutFile:    "{name}: {why}",
	ReplyAsks:           "Why it comes to you:",
	ReplyPhotos:         "{n} photo was kept, without its position. | {n} photos were kept, without their position.",
	ReplyButton:         "Look and confirm",
	ReplyButtonUntil:    "The link works until {day}. Opening it stores nothing.",
	ReplyPassed:         "The coordinator got your mail as well.",
	ReplyCorrect:        "If something is wrong, answer this mail with the right line; the later one counts.",
	HeldTitle:           "A mail that waits for your yes",
	HeldDo:              "If this is right, press the button. Nothing is stored before.",
	HeldButton:          "Yes, store it",
	HeldStored:          "It is stored. Thank you.",
	MailtoHead:          "Or answer by mail. Without coverage, your phone sends it later:",
	MailtoTrees:         "a mail with the trees, to fill in",
	MailtoWord:          "a mail that says it is done",
	MailtoGoing:         "a mail that says: going {day}",
	MailtoCannot:        "a mail that says: can't go",
	ReplyOfTree:         "{site} {tree}: {what}",
	ReplyOfSite:         "{site}: {what}",

	UnreadWhyNotUnderstood:           "not understood",
	UnreadWhyNoSuchTree:              "there is no such tree",
	UnreadWhyTreeOfWhichSite:         "of which site?",
	UnreadWhyTreeIsGone:              "the tree is gone",
	UnreadWhyCountOutOfRange:         "the number can't be right",
	UnreadWhyNoDayNamed:              "which day?",
	UnreadWhyNoSuchDay:               "there is no such day",
	UnreadWhyDayUnclear:              "the day isn't clear",
	UnreadWhyDayIsPast:               "the day is past",
	UnreadWhyDayIsStillAhead:         "the day is still ahead",
	UnreadWhyDoesntFitWhatWasAsked:   "it doesn't fit what was asked",
	UnreadWhyAnswersExcludeEachOther: "two answers exclude each other",
	UnreadWhyHiddenCharacters:        "it holds hidden characters",

	AskWhyContradictingReports: "Its lines contradict each other, or what is known.",
	AskWhyEncrypted:            "It is encrypted.",
	AskWhyBrokenMail:           "It is damaged.",
	AskWhyTooDeeplyNested:      "Its parts are nested too deeply.",
	AskWhyTooLong:              "It is longer than is read.",
	AskWhyNoText:               "It has no text.",
	AskWhyAnotherAddress:       "It answers our mail from an address that we don't know.",
	AskWhyPhotos:               "It holds photos.",
	AskWhyLines:                "Some of its lines couldn't be read.",
	AskWhyUnknownSender:        "Nobody in the programme has its address.",
}

// Unread says why a line wasn't read.
func (c *Catalogue) Unread(why string) string { return c.named("unread.", why) }

// KeptOut says why an attachment was left out, and what to do.
func (c *Catalogue) KeptOut(why string) string { return c.named("kept-out.", why) }

// Ask says why a person should look at a mail.
func (c *Catalogue) Ask(why string) string { return c.named("ask.", why) }

// Said says a report with its day, its site and, where the report's own words
// don't hold it, its tree.
func (c *Catalogue) Said(r trail.Report) string {
	args := Args{"site": r.Site, "tree": r.Tree, "what": c.ReportOn(r)}
	if r.Kind.Answer() {
		args["what"] = c.Report(r)
	}
	if _, alone := saidAlone[r.Kind]; alone && r.Tree != "" {
		return c.Text(ReplyOfTree, args)
	}
	return c.Text(ReplyOfSite, args)
}
