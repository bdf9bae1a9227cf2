package notice_test

import (
	"strings"
	"testing"

	"budcall/internal/call"
	"budcall/internal/config"
	"budcall/internal/notice"
	"budcall/internal/words"
)

// examplePreview is the preview that the issue gives as its example.
func examplePreview() *notice.Preview {
	return &notice.Preview{
		Changed: []config.Changed{{Path: "calls.max_lead_days", Before: "25", After: "28"}, {Path: "deputy", Before: "petri"}, {Path: "calls.min_days", After: "4"}},
		Days:    []notice.MovedDays{{Task: call.BagOn, Before: days("04-29", "05-06"), After: days("04-26", "05-06")}, {Task: call.PickSeed, After: days("07-20", "07-28")}},
		Mails:   2, Springs: notice.Springs{Played: 10, Before: notice.SpringSum{Trips: 31}, After: notice.SpringSum{Trips: 34}},
	}
}

func settingsLetter(id string, change notice.SiteChange) notice.Letter {
	l := letter(id, "04-20")
	l.Kind, change.Site, change.SiteName, change.Change = notice.Settings, "KOL", "Kolmivaara", 7
	change.Link, change.Expires = "https://calls.birch.example/settings/eyJvIjoic2V0dGluZ3MiLCJwIjoiYWlubyIsInMiOiJLT0wifQ.q83vEjRWeJCrze8SNFZ4kA?change=7", day("10-14")
	l.Change = &change
	return l
}

// settingsLetters are the letters about a change of a site's settings.
func settingsLetters() map[string]notice.Letter {
	approve := settingsLetter("20310420T140000-approve", notice.SiteChange{For: notice.ToApprove, By: aino.Name, Preview: examplePreview()})
	approve.To, approve.ToName, approve.Coordinator = "liis@birch.example", liis.Name, notice.Contact{}
	return map[string]notice.Letter{
		"settings-approve":   approve,
		"settings-in-force":  settingsLetter("20310420T140000-force", notice.SiteChange{For: notice.InForce, Preview: examplePreview()}),
		"settings-refused":   settingsLetter("20310420T140000-refused", notice.SiteChange{For: notice.NotTaken, Written: "Four days are too few for Petri: he can only go at weekends."}),
		"settings-overtaken": settingsLetter("20310420T140000-overtaken", notice.SiteChange{For: notice.Overtaken}),
		"settings-asked":     settingsLetter("20310420T140000-asked", notice.SiteChange{For: notice.Asked}),
		"settings-received":  settingsLetter("20310420T140000-received", notice.SiteChange{For: notice.Received, Preview: examplePreview()}),
		"settings-to-mend": settingsLetter("20310420T140000-mend", notice.SiteChange{For: notice.ToMend, Problems: []string{
			"Line 24: max_lead_days: 90 is outside 14 to 35, which the coordinator has set (leave it as it is, or ask the coordinator)",
		}}),
	}
}

func TestALetterAboutSettingsThatIsAboutNoneIsRefused(t *testing.T) {
	l := settingsLetter("20310420T140000-none", notice.SiteChange{For: notice.InForce})
	l.Change = nil
	if _, err := notice.Mail(l); err == nil || !strings.Contains(err.Error(), "about no change") {
		t.Errorf("%v", err)
	}
}

// What a preview says, in English; the sums are of made-up springs.
func TestWhatAPreviewSays(t *testing.T) {
	changed := []config.Changed{{Path: "calls.min_days", Before: "5", After: "4"}}
	sums := func(played, tripsBefore, tripsAfter, missedBefore, missedAfter int) notice.Springs {
		return notice.Springs{Played: played, Before: notice.SpringSum{Trips: tripsBefore, Missed: missedBefore}, After: notice.SpringSum{Trips: tripsAfter, Missed: missedAfter}}
	}
	late := sums(3, 9, 9, 1, 1)
	late.Late = true
	for _, row := range []struct {
		sentence string
		preview  notice.Preview
		want     string
	}{
		{"only remarks", notice.Preview{}, "Only remarks are changed."},
		{"the issue's example", notice.Preview{Changed: changed, Days: []notice.MovedDays{{Task: call.BagOn, Before: days("04-29", "04-29"), After: days("04-26", "04-26")}}, Mails: 2, Springs: sums(10, 20, 23, 0, 0)},
			"min_days: 5 → 4|Bag on: Tue 29 Apr → Sat 26 Apr|2 mails change.|Replayed over the last 10 springs: 3 more trips, no tree missed."},
		{"nothing moves", notice.Preview{Changed: changed, Springs: sums(1, 2, 2, 1, 1)}, "min_days: 5 → 4|By today's forecast no days change.|No mail changes today.|Replayed over the last spring: as many trips, 1 tree missed as before."},
		{"fewer trips, more trees missed", notice.Preview{Changed: changed, Mails: 1, Springs: sums(9, 30, 29, 0, 2)}, "min_days: 5 → 4|By today's forecast no days change.|1 mail changes.|Replayed over the last 9 springs: 1 trip fewer, 2 more trees missed."},
		{"fewer trees missed", notice.Preview{Changed: changed, Springs: sums(9, 30, 30, 2, 1)}, "min_days: 5 → 4|By today's forecast no days change.|No mail changes today.|Replayed over the last 9 springs: as many trips, 1 tree fewer missed."},
		{"cut short", notice.Preview{Changed: changed, Springs: late}, "min_days: 5 → 4|By today's forecast no days change.|No mail changes today.|Replayed over the last 3 springs: as many trips, 1 tree missed as before.|The replay of past springs took too long and was ended there."},
		{"cut short before the first", notice.Preview{Changed: changed, Springs: notice.Springs{Late: true}}, "min_days: 5 → 4|By today's forecast no days change.|No mail changes today.|The replay of past springs took too long and was ended there."},
		{"no forecast and no past", notice.Preview{Changed: changed, Unknown: true, Springs: notice.Springs{Unfit: true}}, "min_days: 5 → 4|How the days change can't be told: the site can't be forecast just now.|Past springs can't be replayed: that takes daily means of ten earlier years and more."},
		{"another deputy", notice.Preview{Changed: []config.Changed{{Path: "deputy", After: "petri"}, {Path: "name", Before: "Kolmi"}}, Springs: notice.Springs{Nothing: true}},
			"deputy: petri, was not set|name: not set any more, was Kolmi|By today's forecast no days change.|No mail changes today.|Past springs aren't replayed: nothing that counts for them is changed."},
	} {
		if got := strings.Join(row.preview.Lines(words.For("en")), "|"); got != row.want {
			t.Errorf("%s:\n%s\nwant\n%s", row.sentence, got, row.want)
		}
	}
}
