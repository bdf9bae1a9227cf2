package words

// The frame of every page.
const (
	PageName       Key = "page.name"
	PageVersion    Key = "page.version"
	PageSimulated  Key = "page.simulated"
	PageStoredNone Key = "page.stored-none"
)

// Pages that only say something.
const (
	RefusedAltered     Key = "refused.altered"
	RefusedAlteredDo   Key = "refused.altered-do"
	RefusedExpired     Key = "refused.expired"
	RefusedExpiredDo   Key = "refused.expired-do"
	RefusedOther       Key = "refused.other"
	RefusedOtherDo     Key = "refused.other-do"
	RefusedUnknown     Key = "refused.unknown"
	RefusedUnknownDo   Key = "refused.unknown-do"
	RefusedStranger    Key = "refused.stranger"
	RefusedStrangerDo  Key = "refused.stranger-do"
	RefusedBoard       Key = "refused.board"
	RefusedBoardDo     Key = "refused.board-do"
	RefusedNowhere     Key = "refused.nowhere"
	RefusedNowhereDo   Key = "refused.nowhere-do"
	RefusedOften       Key = "refused.often"
	RefusedOftenDo     Key = "refused.often-do"
	RefusedBig         Key = "refused.big"
	RefusedBigDo       Key = "refused.big-do"
	RefusedEncoding    Key = "refused.encoding"
	RefusedEncodingDo  Key = "refused.encoding-do"
	RefusedMethod      Key = "refused.method"
	RefusedMethodDo    Key = "refused.method-do"
	RefusedMemory      Key = "refused.memory"
	RefusedMemoryDo    Key = "refused.memory-do"
	RefusedMemoryForm  Key = "refused.memory-form"
	RefusedMemoryFormD Key = "refused.memory-form-do"
)

var englishPages = together(englishFrame, englishForm, englishFormProblems, englishBoard, englishSkill, englishReports, englishChart)

var englishFrame = Texts{
	PageName:       "Budcall",
	PageVersion:    "Budcall {version}",
	PageSimulated:  "The time of this page is simulated. Nobody is really asked to do anything.",
	PageStoredNone: "Nothing was stored.",

	RefusedAltered:     "This link is incomplete",
	RefusedAlteredDo:   "Some mail programs cut long links in two. Open it from the mail once more, or copy the whole line.",
	RefusedExpired:     "This link has expired",
	RefusedExpiredDo:   "It worked until {day}. Use the link in a newer mail, or tell the coordinator what there is to report.",
	RefusedOther:       "This link opens something else",
	RefusedOtherDo:     "Open it from the mail once more, without changing its address.",
	RefusedUnknown:     "This is no longer known here",
	RefusedUnknownDo:   "The site, the task or the person of this link was taken out of the programme. Ask the coordinator for a new link.",
	RefusedStranger:    "This form is for the people of the site",
	RefusedStrangerDo:  "You are not named for this site, or not any more, so that nothing can be reported with this link. Tell the coordinator what there is to report, or if you should be named.",
	RefusedBoard:       "The season board opens by a link",
	RefusedBoardDo:     "Ask whoever runs the programme for the link to the board. The link in a mail opens the form for its task.",
	RefusedNowhere:     "There is nothing here",
	RefusedNowhereDo:   "Open the link from the mail once more.",
	RefusedOften:       "Too many wrong links came from your network",
	RefusedOftenDo:     "A correct link still works. Wait a minute before you try another one.",
	RefusedBig:         "That was more than this form takes",
	RefusedBigDo:       "Open the link from the mail once more and fill in the form anew.",
	RefusedEncoding:    "The form did not arrive as it should",
	RefusedEncodingDo:  "Open the link from the mail once more and fill in the form in a web browser.",
	RefusedMethod:      "That can't be done here",
	RefusedMethodDo:    "Open the link from the mail in a web browser.",
	RefusedMemory:      "Just now nothing can be shown",
	RefusedMemoryDo:    "The database doesn't answer. Try once more in a few minutes.",
	RefusedMemoryForm:  "Just now nothing can be stored",
	RefusedMemoryFormD: "The database doesn't answer. Go back, keep what you filled in, and send it once more in a few minutes.",
}

// together gives parts of a catalogue as one.
func together(parts ...Texts) Texts {
	return catalogueOf("", calendar{}, parts...).texts
}
