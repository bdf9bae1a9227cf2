package notice_test

import (
	"strings"
	"testing"

	"budcall/internal/call"
	"budcall/internal/notice"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// weekly is an overview of five invented sites on a Monday in May.
func weekly() notice.Letter {
	at := func(monthDay string, hour int) (l notice.OpenCall) {
		l.Asked = day(monthDay).In(zone, hour, 0)
		return l
	}
	kolmi := at("05-02", 17)
	kolmi.Task, kolmi.Standing, kolmi.Days, kolmi.With = call.BagOn, call.Hurry, days("05-03", "05-07"), aino
	kolmi.Answer, kolmi.By = &trail.Report{Kind: trail.Going, Day: day("05-02"), On: day("05-06")}, aino.Name
	silent := at("05-04", 17)
	silent.Task, silent.Standing, silent.Days, silent.With, silent.Silent = call.BagOn, call.Go, days("05-05", "05-10"), petri, true
	nobody := at("05-03", 9)
	nobody.Task, nobody.Standing, nobody.Days, nobody.With, nobody.NobodyIs = call.LookAtBuds, call.Hurry, days("05-01", "05-04"), liis, true
	coming := notice.OpenCall{Task: call.BagOn, Standing: call.Ahead, Days: days("05-13", "05-18"), With: aino}
	l := letter("20310505T040000-weekly", "05-05")
	l.At, l.Kind, l.To, l.ToName, l.Coordinator = day("05-05").In(zone, 7, 0), notice.Weekly, "liis@birch.example", liis.Name, notice.Contact{}
	l.Week = &notice.Overview{
		Until: day("05-18"),
		Sites: []notice.SiteWeek{
			{Code: "KOL", Name: "Kolmivaara", Open: []notice.OpenCall{kolmi}, Stages: []notice.StageWeek{
				{BBCH: 7, P10: day("05-06"), P50: day("05-09"), P90: day("05-14")},
				{BBCH: 60, P10: day("05-12"), P50: day("05-17"), P90: day("05-22")},
			}},
			{Code: "RAN", Name: "Rannanpelto", Open: []notice.OpenCall{nobody, silent}},
			{Code: "YLI", Name: "Ylitalo", Coming: []notice.OpenCall{coming}, Stages: []notice.StageWeek{{BBCH: 1, P10: day("05-10"), P50: day("05-17")}}},
			{Code: "UMB", Name: "Umbäcken"},
			{Code: "ORR", Name: "Orrmossen"},
		},
		Troubles: []string{"Station Rannanpelto airfield has been silent since Fri 2 May. Look whether its file still arrives."},
		Skill: []stage.Skill{
			{Lead: 14, N: 6, CRPS: 2.1, Inside80: 0.83, Timed: 6, AbsErrorDays: 2.4, Compared: 6, ComparedCRPS: 2.1, CRPSMeanDate: 2.6, CRPSRegression: 2.5},
			{Lead: 7, N: 1, CRPS: 1.4, Inside80: 1, Timed: 1, AbsErrorDays: 1, Compared: 1, ComparedCRPS: 1.4, CRPSMeanDate: 1.3, CRPSRegression: 1.5},
			{Lead: 3, N: 2, CRPS: 1.1, Inside80: 0.5, Timed: 2, AbsErrorDays: 0.5},
		},
		Board: "https://calls.birch.example/board/eyJvIjoiYm9hcmQiLCJwIjoibGlpcyJ9.q83vEjRWeJCrze8SNFZ4kA",
	}
	return l
}

// quietWeek is the overview of a programme in which nothing is on yet.
func quietWeek() notice.Letter {
	l := weekly()
	l.ID, l.Today, l.At, l.Late = "20310304T040000-weekly", day("03-04"), day("03-04").In(zone, 9, 40), true
	l.Week = &notice.Overview{Until: day("03-17"), Sites: []notice.SiteWeek{{Code: "KOL", Name: "Kolmivaara"}, {Code: "RAN", Name: "Rannanpelto"}}}
	return l
}

func TestAnOverviewSaysWhatIsOpenAndWithWhom(t *testing.T) {
	mail, err := notice.Mail(weekly())
	if err != nil {
		t.Fatal(err)
	}
	html := string(notice.HTML(weekly()))
	for _, want := range []string{
		"3 open, 2 without an answer", // counted by hand above
		"Petri Mäkitörmä, site deputy, asked Sun 4 May, 17:00", "tel:+358400000102", "everybody who could be asked has been asked",
		"Aino Hietavirta on Fri 2 May: going on Tue 6 May", "the last day was Sun 4 May", "coming, probably Tue 13 – Sun 18 May",
		"8 in 10 between Tue 6 May and Wed 14 May", "hardly before Sat 10 May",
		"Umbäcken and Orrmossen.", "has been silent",
		"16 % better", "8 % worse", // 1 - 2.1/2.5, 1 - 1.4/1.3: by hand
		"on the mean of 6 forecasts", "on the mean of 1 forecast;",
	} {
		if !strings.Contains(strings.ReplaceAll(html, "&#43;", "+"), want) {
			t.Errorf("it doesn't say %q", want)
		}
	}
	if !strings.Contains(string(mail), "Auto-Submitted: auto-generated") {
		t.Error("it isn't marked as written by a program")
	}
}

func TestAnOverviewWithoutContentIsRefused(t *testing.T) {
	l := weekly()
	l.Week = nil
	if _, err := notice.Mail(l); err == nil || !strings.Contains(err.Error(), "no overview") {
		t.Errorf("%v", err)
	}
}

func TestASiteWithNothingIsOneLineAlone(t *testing.T) {
	l := weekly()
	for n := range l.Week.Sites {
		l.Week.Sites[n] = notice.SiteWeek{Name: l.Week.Sites[n].Name}
	}
	html := string(notice.HTML(l))
	if n := strings.Count(html, "Kolmivaara"); n != 1 {
		t.Errorf("a quiet site is named %d times", n)
	}
}
