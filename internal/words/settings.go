package words

// The page on which a site's settings are changed, and the letters about it.
const (
	SettingsTitle            Key = "settings.title"
	SettingsStranger         Key = "settings.stranger"
	SettingsStrangerDo       Key = "settings.stranger-do"
	SettingsIntro            Key = "settings.intro"
	SettingsFreeHead         Key = "settings.free-head"
	SettingsFree             Key = "settings.free"
	SettingsFreeLines        Key = "settings.free-lines"
	SettingsFreeAll          Key = "settings.free-all"
	SettingsFreeOther        Key = "settings.free-other"
	SettingsFile             Key = "settings.file"
	SettingsSee              Key = "settings.see"
	SettingsUnchanged        Key = "settings.unchanged"
	SettingsProblems         Key = "settings.problems"
	SettingsAtLine           Key = "settings.at-line"
	SettingsAtFile           Key = "settings.at-file"
	SettingsStale            Key = "settings.stale"
	SettingsStaleDo          Key = "settings.stale-do"
	SettingsMoved            Key = "settings.moved"
	SettingsDifference       Key = "settings.difference"
	SettingsWhat             Key = "settings.what"
	SettingsTake             Key = "settings.take"
	SettingsChange           Key = "settings.change"
	SettingsAsksFirst        Key = "settings.asks-first"
	SettingsAtOnce           Key = "settings.at-once"
	SettingsBy               Key = "settings.by"
	SettingsWaits            Key = "settings.waits"
	SettingsWaitsDo          Key = "settings.waits-do"
	SettingsAccepted         Key = "settings.accepted"
	SettingsAcceptedSoon     Key = "settings.accepted-soon"
	SettingsRefused          Key = "settings.refused"
	SettingsWhy              Key = "settings.why"
	SettingsOvertaken        Key = "settings.overtaken"
	SettingsAnew             Key = "settings.anew"
	SettingsApprove          Key = "settings.approve"
	SettingsRefuse           Key = "settings.refuse"
	SettingsWord             Key = "settings.word"
	SettingsFolder           Key = "settings.folder"
	SettingsFolderDo         Key = "settings.folder-do"
	SettingsByHand           Key = "settings.by-hand"
	SettingsDecided          Key = "settings.decided"
	SettingsSet              Key = "settings.set"
	SettingsUnset            Key = "settings.unset"
	SettingsLine             Key = "settings.line"
	SettingsOnlyRemarks      Key = "settings.only-remarks"
	SettingsDays             Key = "settings.days"
	SettingsNoDay            Key = "settings.no-day"
	SettingsSameDays         Key = "settings.same-days"
	SettingsNoForecast       Key = "settings.no-forecast"
	SettingsMails            Key = "settings.mails"
	SettingsNoMails          Key = "settings.no-mails"
	SettingsSprings          Key = "settings.springs"
	SettingsTripsMore        Key = "settings.trips-more"
	SettingsTripsFewer       Key = "settings.trips-fewer"
	SettingsTripsSame        Key = "settings.trips-same"
	SettingsTreesNone        Key = "settings.trees-none"
	SettingsTreesMore        Key = "settings.trees-more"
	SettingsTreesFewer       Key = "settings.trees-fewer"
	SettingsTreesSame        Key = "settings.trees-same"
	SettingsSpringsLate      Key = "settings.springs-late"
	SettingsSpringsNone      Key = "settings.springs-none"
	SettingsSpringsAlike     Key = "settings.springs-alike"
	SettingsSubjectWaiting   Key = "settings.subject-waiting"
	SettingsSubjectAccepted  Key = "settings.subject-accepted"
	SettingsSubjectRefused   Key = "settings.subject-refused"
	SettingsSubjectOvertaken Key = "settings.subject-overtaken"
	SettingsSubjectReceived  Key = "settings.subject-received"
	SettingsAsk              Key = "settings.ask"
	SettingsSubjectAsked     Key = "settings.subject-asked"
	SettingsMailAsked        Key = "settings.mail-asked"
	SettingsSubjectProblems  Key = "settings.subject-problems"
	SettingsMailWaiting      Key = "settings.mail-waiting"
	SettingsMailAccepted     Key = "settings.mail-accepted"
	SettingsMailRefused      Key = "settings.mail-refused"
	SettingsMailOvertaken    Key = "settings.mail-overtaken"
	SettingsMailReceived     Key = "settings.mail-received"
	SettingsMailProblems     Key = "settings.mail-problems"
	SettingsMailSends        Key = "settings.mail-sends"
	SettingsMailButton       Key = "settings.mail-button"
	SettingsMailOpen         Key = "settings.mail-open"
	SettingsMailLook         Key = "settings.mail-look"
	SettingsMailBeside       Key = "settings.mail-beside"
	SettingsMailSeveral      Key = "settings.mail-several"
	SettingsMailUntil        Key = "settings.mail-until"
	SettingsMailForeign      Key = "settings.mail-foreign"
)

var englishSettings = Texts{
	SettingsTitle:            "Settings of {site}",
	SettingsStranger:         "This page is for the people of the site",
	SettingsStrangerDo:       "You are not named for this site, or not any more, so that you can't change its settings. Tell the coordinator if you should be named.",
	SettingsIntro:            "This is the site's file as it is in force. Change what you want and look at what that does: nothing counts before you take it.",
	SettingsFreeHead:         "What you may change",
	SettingsFree:             "{key}: {low} to {high}",
	SettingsFreeLines:        "Beside calls: {lines}",
	SettingsFreeAll:          "Everything but the site's code.",
	SettingsFreeOther:        "Remarks after # are yours, too. For everything else ask the coordinator.",
	SettingsFile:             "The file",
	SettingsSee:              "See what it does",
	SettingsUnchanged:        "This is the file as it is in force: nothing is changed.",
	SettingsProblems:         "This can't be taken as it stands:",
	SettingsAtLine:           "Line {line}: {said}",
	SettingsAtFile:           "In {file}, line {line}: {said}",
	SettingsStale:            "The file was changed meanwhile",
	SettingsStaleDo:          "Nothing of yours was taken. Your text is kept below. Work in what was changed meanwhile, and look again.",
	SettingsMoved:            "Changed meanwhile",
	SettingsDifference:       "What changes in the file",
	SettingsWhat:             "What it does",
	SettingsTake:             "Take it",
	SettingsChange:           "Change it once more",
	SettingsAsksFirst:        "The coordinator is asked before it counts.",
	SettingsAtOnce:           "It counts as soon as you take it.",
	SettingsBy:               "Proposed by {name}, {moment}",
	SettingsWaits:            "This waits for the coordinator.",
	SettingsWaitsDo:          "Whoever proposed it gets a mail once it is decided.",
	SettingsAccepted:         "Accepted: it is in force.",
	SettingsAcceptedSoon:     "Accepted: it will be in force within a minute.",
	SettingsRefused:          "The coordinator has not approved this.",
	SettingsWhy:              "The coordinator writes: {why}",
	SettingsOvertaken:        "Not taken: the file was changed in another way first.",
	SettingsAnew:             "Work on this text again",
	SettingsApprove:          "Approve it",
	SettingsRefuse:           "Do not approve it",
	SettingsWord:             "A word on it, if you don't approve",
	SettingsFolder:           "The file can't be written",
	SettingsFolderDo:         "The proposal is kept and can be taken later. Show this to whoever looks after the program: {said}.",
	SettingsByHand:           "Somebody is changing this file in the folder: its newest version isn't in force. Ask whoever looks after the program, and try once more.",
	SettingsDecided:          "This was decided already.",
	SettingsSet:              "{path}: {after}, was not set",
	SettingsUnset:            "{path}: not set any more, was {before}",
	SettingsLine:             "{path}: {before} → {after}",
	SettingsOnlyRemarks:      "Only remarks are changed.",
	SettingsDays:             "{task}: {before} → {after}",
	SettingsNoDay:            "no day yet",
	SettingsSameDays:         "By today's forecast no days change.",
	SettingsNoForecast:       "How the days change can't be told: the site can't be forecast just now.",
	SettingsMails:            "{n} mail changes. | {n} mails change.",
	SettingsNoMails:          "No mail changes today.",
	SettingsSprings:          "Replayed over the last spring: {trips}, {trees}. | Replayed over the last {n} springs: {trips}, {trees}.",
	SettingsTripsMore:        "{n} more trip | {n} more trips",
	SettingsTripsFewer:       "{n} trip fewer | {n} trips fewer",
	SettingsTripsSame:        "as many trips",
	SettingsTreesNone:        "no tree missed",
	SettingsTreesMore:        "{n} more tree missed | {n} more trees missed",
	SettingsTreesFewer:       "{n} tree fewer missed | {n} trees fewer missed",
	SettingsTreesSame:        "{n} tree missed as before | {n} trees missed as before",
	SettingsSpringsLate:      "The replay of past springs took too long and was ended there.",
	SettingsSpringsNone:      "Past springs can't be replayed: that takes daily means of ten earlier years and more.",
	SettingsSpringsAlike:     "Past springs aren't replayed: nothing that counts for them is changed.",
	SettingsSubjectWaiting:   "To approve: settings of {site}",
	SettingsSubjectAccepted:  "In force: settings of {site}",
	SettingsSubjectRefused:   "Not approved: settings of {site}",
	SettingsSubjectOvertaken: "Not taken: settings of {site}",
	SettingsSubjectReceived:  "Look what it does: settings of {site}",
	SettingsAsk:              "settings",
	SettingsSubjectAsked:     "Settings of {site}",
	SettingsMailAsked:        "Behind the button is the page on which you see and change the settings of {site}. You can also send the site's file as {code}.yml, attached to a mail to this address.",
	SettingsSubjectProblems:  "To be mended: settings of {site}",
	SettingsMailWaiting:      "{name} proposes to change the settings of {site}. Nothing changes before you approve.",
	SettingsMailAccepted:     "The settings of {site} are in force as you proposed.",
	SettingsMailRefused:      "The coordinator has not approved your change of the settings of {site}. Nothing changes.",
	SettingsMailOvertaken:    "The settings of {site} were changed in another way before yours were taken. Your text is kept: look at it, and propose it again.",
	SettingsMailReceived:     "Your mail brought the file of {site}. Nothing changes before you take it on the page behind the button.",
	SettingsMailProblems:     "Your mail brought the file of {site}. Nothing of it was taken:",
	SettingsMailSends:        "Send the file again once it is mended, or change it on the page behind the button.",
	SettingsMailButton:       "Look and decide",
	SettingsMailOpen:         "Open the page",
	SettingsMailLook:         "Look at it",
	SettingsMailBeside:       "What you wrote beside the file went to the coordinator, who reads it.",
	SettingsMailSeveral:      "The mail brought the files of several sites. Send each in a mail of its own.",
	SettingsMailUntil:        "The link works until {day}. It is meant for you only: don't pass it on.",
	SettingsMailForeign:      "You aren't named for this site: only its lead, its deputy and the coordinators change its settings.",
}
