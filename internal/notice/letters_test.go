package notice_test

import (
	"maps"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
)

// day is a day of the invented season 2031, in which 3 May is a Saturday.
func day(monthDay string) civil.Date { return civil.MustParse("2031-" + monthDay) }

func days(first, last string) civil.Range {
	return civil.Range{First: day(first), Last: day(last)}
}

// zone is that of the invented people, as a fixed offset: zones are loaded
// elsewhere.
var zone = time.FixedZone("", 3*3600)

var (
	aino  = notice.Contact{Name: "Aino Hietavirta", Phone: "+358 40 000 0101", Role: "site lead"}
	petri = notice.Contact{Name: "Petri Mäkitörmä", Phone: "+358 40 000 0102", Role: "site deputy"}
	liis  = notice.Contact{Name: "Liis Õunapuu", Phone: "+372 5000 0103", Role: "coordinator"}
)

var fourTrees = []notice.TreeNeed{
	{Code: "KOL-101", Short: "T1", Selfing: 2, Control: 1},
	{Code: "KOL-102", Short: "T2", Selfing: 2, Control: 1},
	{Code: "KOL-107", Short: "T3", Selfing: 1},
	{Code: "KOL-110", Short: "T4", Selfing: 2, Control: 1},
}

// letter is a letter to the site lead, written at 17:00 of a day.
func letter(id, today string, items ...notice.Item) notice.Letter {
	return notice.Letter{
		ID: id, Kind: notice.Calls, Programme: "Northern Birch Selfing", Domain: "mail.birch.example",
		From: "calls@birch.example", FromName: "Northern Birch Selfing", To: "aino@kolmivaara.example", ToName: aino.Name,
		Lang: "en", At: day(today).In(zone, 17, 0), Today: day(today), Coordinator: liis, Items: items,
		Ribbons: notice.Ribbons{Selfing: "orange", Control: "blue"},
	}
}

// bagOn is bagging at one site, with the odds that design gives as its example.
func bagOn() notice.Item {
	return notice.Item{
		Site: "KOL", SiteName: "Kolmivaara", Task: call.BagOn, Standing: call.Go, Reason: call.BestDaysBegin,
		Days: days("05-03", "05-07"), CanGo: []civil.Date{day("05-03"), day("05-04")}, Best: day("05-03"),
		Trees: fourTrees, Second: true, Expires: day("05-21"),
		Link: "https://calls.birch.example/f/eyJvIjoiZm9ybSIsInAiOiJhaW5vIiwicyI6IktPTCIsInQiOiJiYWcgb24iLCJ5IjoyMDMxLCJlIjoiMjAzMS0wNS0yMVQyMTowMDowMFoifQ.q83vEjRWeJCrze8SNFZ4kA",
		Why: notice.Why{
			Stage: 7, StageName: "bud break", HeatCd: 43.4, NeedCd: 60, BaseC: 5, Since: day("03-01"),
			P10: day("05-06"), P50: day("05-09"), P90: day("05-14"),
			GoOn: day("05-03"), GoLate: 0.02, GoEarly: 0.15, WaitFor: day("05-07"), WaitLate: 0.09, WaitEarly: 0.06,
			Earliest: 0.12, MaxLead: 28, Reading: day("05-02"), Station: "Kolmivaara airfield", DistanceKm: 34, HigherM: 120, Forecast: true,
		},
	}
}

func changed(it notice.Item, change func(*notice.Item)) notice.Item {
	change(&it)
	return it
}

// sendKit goes to the coordinator.
func sendKit() notice.Letter {
	it := bagOn()
	it.Task, it.Standing, it.Reason = call.SendKit, call.Go, call.BestDaysBegin
	it.Days, it.CanGo, it.Best, it.Second = days("04-15", "04-15"), nil, day("04-15"), false
	it.Why.Stage, it.Why.StageName, it.Why.NeedCd, it.Why.HeatCd = 1, "bud swelling begins", 25, 4
	it.Why.P10, it.Why.P50, it.Why.P90, it.Why.Reading = day("04-22"), day("04-27"), day("05-02"), day("04-14")
	l := letter("2031.KOL.send-kit.1", "04-14", it)
	l.To, l.ToName = "liis@birch.example", liis.Name
	return l
}

func takeOff() notice.Item {
	it := bagOn()
	it.Task, it.Standing, it.Reason, it.Second = call.TakeOff, call.Go, call.BestDaysBegin, false
	it.Days, it.CanGo, it.Best = days("06-14", "07-05"), []civil.Date{day("06-14"), day("06-15"), day("06-21"), day("06-22"), day("06-28"), day("06-29"), day("07-05")}, day("06-14")
	it.Why.Stage, it.Why.StageName, it.Why.NeedCd, it.Why.HeatCd = 69, "flowering over in the district", 210, 231
	it.Why.P10, it.Why.P50, it.Why.P90 = day("06-03"), day("06-07"), day("06-12")
	it.Why.GoOn, it.Why.Chance, it.Why.Reading, it.Expires = day("06-14"), 0.96, day("06-12"), day("07-19")
	return it
}

func lookAtSeed() notice.Item {
	it := takeOff()
	it.Task, it.Days, it.CanGo, it.Best = call.LookAtSeed, days("07-19", "07-25"), nil, day("07-19")
	it.Why.Stage, it.Why.StageName, it.Why.NeedCd, it.Why.HeatCd, it.Why.Since = 89, "seed ripe", 850, 724, day("01-01")
	it.Why.P10, it.Why.P50, it.Why.P90, it.Why.Reading = day("07-19"), day("07-25"), day("08-02"), day("07-17")
	it.Expires = day("08-08")
	return it
}

func pickSeed() notice.Item {
	it := lookAtSeed()
	it.Task, it.Standing, it.Reason = call.PickSeed, call.Hurry, call.LastDaysBegin
	it.Days, it.CanGo, it.Best = days("07-26", "08-03"), []civil.Date{day("07-27"), day("08-02"), day("08-03")}, day("08-02")
	it.Why.HeatCd, it.Why.Reading = 861, day("08-01")
	it.Why.GoOn, it.Why.GoLate, it.Why.GoEarly, it.Why.WaitFor = day("08-02"), 0.08, 0.004, 0
	it.Expires = day("08-17")
	return it
}

// allLetters is a letter of every task and standing, by the name of its
// golden files.
func allLetters() map[string]notice.Letter {
	all := map[string]notice.Letter{
		"send-kit": sendKit(),
		"bag-on":   letter("2031.KOL.bag-on.2", "05-02", bagOn()),
		"take-off": letter("2031.KOL.take-off.1", "06-13", takeOff()),
		"bag-on-ahead": letter("2031.KOL.bag-on.1", "04-24", changed(bagOn(), func(it *notice.Item) {
			it.Standing, it.Reason, it.Why.Earliest = call.Ahead, call.DaysComing, 0.001
		})),
		"look-at-seed":        letter("2031.KOL.look-at-seed.1", "07-18", lookAtSeed()),
		"pick-seed-last-days": letter("2031.KOL.pick-seed.2", "08-02", pickSeed()),
	}
	all["bag-on-look-first"] = thread(letter("2031.KOL.bag-on.4", "05-08", changed(bagOn(), func(it *notice.Item) {
		it.Standing, it.Reason, it.Why.Earliest, it.Second = call.LookFirst, call.LastDayPast, 0.71, false
		it.Why.GoOn, it.Why.GoLate, it.Why.GoEarly, it.Why.WaitFor = day("05-10"), 0.55, 0.004, 0
	})), "2031.KOL.bag-on.1", "2031.KOL.bag-on.2", "2031.KOL.bag-on.3")
	all["bag-on-passed"] = passedOn()
	all["several-late"] = several()
	all["ended"] = ended()
	all["short-season"] = shortSeason()
	all["how-did-it-go"] = thread(letter("2031.KOL.bag-on.3", "05-04", changed(bagOn(), func(it *notice.Item) {
		it.Reason, it.CanGo = call.PromisePast, []civil.Date{day("05-04")}
		it.Best, it.Why.GoOn, it.Second = day("05-04"), day("05-04"), false
	})), "2031.KOL.bag-on.1", "2031.KOL.bag-on.2")
	all["ops"] = notice.Letter{
		ID: "ops.2031-05-02.1", Kind: notice.Ops, Programme: "Northern Birch Selfing", Domain: "mail.birch.example",
		From: "calls@birch.example", FromName: "Northern Birch Selfing", To: "ops@birch.example", ToName: "Kaur Sepp", Lang: "en",
		At: day("05-02").In(zone, 6, 12), Today: day("05-02"),
		Trouble: []string{
			"Station lehtojarvi has given no reading since 2031-04-28: see whether the logger sends, or name another station in stations.yml.",
			"The relay relay.birch.example refused the sender for good (550): check mail.from in programme.yml.",
		},
	}
	test := all["ops"]
	test.ID, test.Kind, test.To, test.ToName, test.Trouble = "test.2031-05-02.1", notice.Test, "aino@kolmivaara.example", aino.Name, nil
	all["test"] = test
	all["bag-on-fi"] = inLanguage("fi", letter("2031.KOL.bag-on.2", "05-02", bagOn()))
	all["take-off-sv"] = inLanguage("sv", letter("2031.KOL.take-off.1", "06-13", takeOff()))
	all["weekly"], all["weekly-quiet"] = weekly(), quietWeek()
	maps.Copy(all, lettersOnReports())
	maps.Copy(all, settingsLetters())
	return all
}

// inLanguage is a letter to somebody else of whom answers by mail are read.
func inLanguage(lang string, l notice.Letter) notice.Letter {
	l.Lang, l.ReplyTo = lang, "answers@birch.example"
	for n := range l.Items {
		l.Items[n].Why.Years = &notice.PastYears{Own: 2, Lent: []notice.LentYears{{Station: "KOL-MET", Years: 28, WithinK: 1.74, SeenDays: 731}}}
	}
	return l
}

func thread(l notice.Letter, earlier ...string) notice.Letter {
	l.Thread = earlier
	return l
}

func passedOn() notice.Letter {
	l := letter("2031.KOL.bag-on.5", "05-05", changed(bagOn(), func(it *notice.Item) {
		it.Standing, it.Reason, it.CanGo, it.Best = call.Hurry, call.AnswerOverdue, nil, day("05-06")
		it.Days = days("05-05", "05-07")
		it.Why.GoOn = day("05-06")
		it.Passed = &notice.PassedOn{
			From:    []notice.Contact{aino, petri},
			AskedAt: []time.Time{day("05-02").In(zone, 17, 0), day("05-04").In(time.UTC, 8, 20)},
		}
	}))
	l.Kind, l.To, l.ToName = notice.Passed, "liis@birch.example", liis.Name
	return l
}

// several is a letter of a spring of different lengths: bags come off in the
// south and go on in the far north on the same days.
func several() notice.Letter {
	shifted := func(it *notice.Item, by civil.Date) {
		it.Days, it.Best, it.Expires = civil.Range{First: it.Days.First + by, Last: it.Days.Last + by}, it.Best+by, it.Expires+by
		y := &it.Why
		y.P10, y.P50, y.P90, y.GoOn, y.Reading = y.P10+by, y.P50+by, y.P90+by, y.GoOn+by, day("05-23")
		if y.WaitFor != 0 {
			y.WaitFor += by
		}
		it.CanGo = nil
	}
	kolmivaara := changed(bagOn(), func(it *notice.Item) {
		shifted(it, 22)
		it.CanGo = []civil.Date{day("05-25"), day("05-29")}
	})
	ylamaa := changed(bagOn(), func(it *notice.Item) {
		shifted(it, 28)
		it.Site, it.SiteName, it.Standing, it.Reason = "YLA", "Ylämaan Pikkulampi", call.Ahead, call.DaysMoved
		it.Trees, it.Second = []notice.TreeNeed{{Code: "YLA-7", Short: "Y7", Selfing: 2, Control: 1}}, false
		it.Why.HeatCd, it.Why.HigherM, it.Why.DistanceKm, it.Why.Forecast = 21, -40, 6.4, false
		it.Link += "2"
	})
	hietala := changed(takeOff(), func(it *notice.Item) {
		shifted(it, -42)
		it.Site, it.SiteName, it.Standing, it.Reason = "HIE", "Hietala", call.Hurry, call.LastDaysBegin
		it.Trees = []notice.TreeNeed{{Code: "HIE-3", Short: "H3", Selfing: 3, Control: 1}, {Code: "HIE-4", Short: "H4", Selfing: 2, Control: 1}}
		it.Link += "3"
	})
	l := letter("2031.digest.17", "05-24", ylamaa, kolmivaara, hietala)
	l.Late, l.To, l.ToName = true, "liis@birch.example", liis.Name
	return l
}

func ended() notice.Letter {
	tooLate := changed(bagOn(), func(it *notice.Item) { it.Standing, it.Reason = call.TooLate, call.ReportedPast })
	noBags := changed(takeOff(), func(it *notice.Item) {
		it.Site, it.SiteName, it.Standing, it.Reason = "HIE", "Hietala", call.NotNeeded, call.NoBagsOn
	})
	return thread(letter("2031.KOL.bag-on.6", "05-11", noBags, tooLate), "2031.KOL.bag-on.1")
}

func shortSeason() notice.Letter {
	it := lookAtSeed()
	it.Task, it.Standing, it.Reason, it.Days = call.ShortSeason, call.Go, call.SeedInDoubt, days("07-15", "09-30")
	it.Why.SeasonEnd, it.Why.Chance, it.Why.HeatCd, it.Why.Reading = day("09-30"), 0.22, 402, day("07-14")
	it.Why.P10, it.Why.P50, it.Why.P90 = day("09-18"), 0, 0
	l := letter("2031.KOL.short-season.1", "07-15", it)
	l.To, l.ToName = "liis@birch.example", liis.Name
	return l
}
