package report

var english = Vocabulary{
	phrases: map[string]meaning{
		"going": meansGoing, "i go": meansGoing, "i'm going": meansGoing, "i am going": meansGoing,
		"can't": meansCannot, "can't go": meansCannot, "cannot": meansCannot, "can not": meansCannot, "cant": meansCannot,
		"away": meansAway,
		"off":  meansOff, "all off": meansAllOff,
		"brown": meansBrown, "seed brown": meansBrown,
		"green": meansGreen, "seed green": meansGreen, "still green": meansGreen, "seed still green": meansGreen,
		"nothing to pick": meansNoPick, "no catkins": meansNoCatkins, "none this year": meansNoCatkins, "catkins seen": meansCatkins, "bears catkins": meansCatkins,
		"unsafe": meansUnsafe, "not safe": meansUnsafe, "no permission": meansNoLeave,
		"kit arrived": meansKit, "kit has arrived": meansKit, "seen": meansUnderstood,
		"arrived": meansArrived, "all arrived": meansArrived, "have arrived": meansArrived, "all received": meansArrived, "received": meansArrived,
		"closed": meansClosed, "buds closed": meansClosed,
		"swollen": meansSwollen, "buds swollen": meansSwollen,
		"green tip": meansGreenTip, "green tips": meansGreenTip,
		"bud swelling": meansSwollen, "bud break": meansGreenTip, // as our own mails name the stages
		"fine": meansFine, "whole": meansFine, "torn": meansTorn,
	},
	correction: "correction",
	weekdays: map[string]int{
		"mon": 1, "monday": 1, "tue": 2, "tues": 2, "tuesday": 2, "wed": 3, "wednesday": 3,
		"thu": 4, "thur": 4, "thurs": 4, "thursday": 4, "fri": 5, "friday": 5, "sat": 6, "saturday": 6, "sun": 0, "sunday": 0,
	},
	relative: map[string]int{"today": 0, "tomorrow": 1, "yesterday": -1},
	months: map[string]int{
		"jan": 1, "january": 1, "feb": 2, "february": 2, "mar": 3, "march": 3, "apr": 4, "april": 4, "may": 5, "jun": 6, "june": 6,
		"jul": 7, "july": 7, "aug": 8, "august": 8, "sep": 9, "sept": 9, "september": 9, "oct": 10, "october": 10,
		"nov": 11, "november": 11, "dec": 12, "december": 12,
	},
	joins:      []string{"and"},
	runs:       []string{"to", "until"},
	fillers:    []string{"on", "the"},
	monthFirst: true,
	examples: exampleWords{
		heading: "Answer by replying to this mail, one line for each thing. For example:",
		going:   "going", day: "sat", cannot: "can't",
		off: "off", brown: "brown", fine: "fine", closed: "closed", noCatkins: "no catkins", noPick: "nothing to pick",
		kit: "kit arrived", arrived: "all arrived", understood: "seen",
		saysOn:     "two selfing bags and one control bag hang on %s",
		saysPicked: "two packets of selfing and one of control picked from %s",
		saysOff:    "its bags are off",
		saysCame:   "two packets of selfing and one of control came from %s",
		months:     [12]string{"Jan", "Feb", "Mar", "Apr", "May", "June", "July", "Aug", "Sept", "Oct", "Nov", "Dec"},
	},
}
