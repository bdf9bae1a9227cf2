package web_test

import (
	"math"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/stage"
	"budcall/internal/trail"
	"budcall/internal/web"
)

// exampleBoard is an invented board that shows every standing and every way in
// which a stage can stand.
func exampleBoard() web.Board {
	d := civil.MustParse
	at := func(day, hour int) time.Time { return time.Date(2031, 5, day, hour, 0, 0, 0, zone) }
	days := func(a, b string) civil.Range { return civil.Range{First: d(a), Last: d(b)} }
	first := web.BoardSite{
		Code: "kolmi", Name: "Kolmivaara", AltitudeM: 212, Station: "Alakoski", Reading: d("2031-05-02"), ReadingC: 8.44, HeatCd: 43.2, NeedCd: 62,
		Stages: []web.BoardStage{
			{Code: stage.BudSwelling, P10: d("2031-04-20"), P50: d("2031-04-24"), P90: d("2031-04-29"), Seen: d("2031-04-26"), Scores: []stage.Score{
				{Lead: 42, Seen: d("2031-04-26"), NotYet: d("2031-04-21"), ErrorDays: 9}, {Lead: 28, Seen: d("2031-04-26"), NotYet: d("2031-04-21"), ErrorDays: math.NaN()},
				{Lead: 14, Seen: d("2031-04-26"), NotYet: d("2031-04-21"), ErrorDays: 2.2}, {Lead: 7, Seen: d("2031-04-26"), NotYet: d("2031-04-21")},
			}},
			{Code: stage.LeavesUnfolded, P10: d("2031-04-28"), P50: d("2031-04-29"), P90: d("2031-04-30"), Seen: d("2031-04-30"), Scores: []stage.Score{
				{Lead: 28, Seen: d("2031-04-30")}, {Lead: 14, Seen: d("2031-04-30")}, {Lead: 7, Seen: d("2031-04-30")},
			}},
			{Code: stage.BudBreak, P10: d("2031-05-07"), P50: d("2031-05-11"), P90: d("2031-05-16")},
			{Code: stage.Flowering, P10: d("2031-05-12"), P50: d("2031-05-18"), P90: d("2031-05-25")},
			{Code: stage.FloweringOver, P10: d("2031-05-22"), P50: d("2031-05-29"), P90: d("2031-06-06")},
			{Code: stage.SeedRipe, P10: d("2031-08-01"), P50: d("2031-08-17")},
			{Code: 53, Name: "catkins stretch"},
		},
		Calls: []web.BoardCall{
			{Task: call.SendKit, Standing: call.Done, Reason: call.Reported, Days: days("2031-04-10", "2031-04-13")},
			{Task: call.BagOn, Standing: call.Hurry, Reason: call.LastDaysBegin, Days: days("2031-05-02", "2031-05-04"), With: "Ada Nordlund"},
			{Task: call.TakeOff, Standing: call.Ahead, Reason: call.DaysComing, Days: days("2031-06-07", "2031-06-28"), With: "Ada Nordlund"},
			{Task: call.LookAtSeed, Standing: call.Quiet, Reason: call.FarOff},
			{Task: call.PickSeed, Standing: call.Go, Reason: call.BestDaysBegin, Days: days("2031-08-10", "2031-08-16")},
			{Task: call.ShortSeason, Standing: call.NotNeeded, Reason: call.SeedLikely},
		},
		Told: []web.BoardTold{
			{At: at(3, 9), To: "Ada Nordlund", Task: call.BagOn, Standing: call.Hurry, Reason: call.LastDaysBegin, State: "waiting"},
			{At: at(1, 17), To: "Ada Nordlund", Task: call.BagOn, Standing: call.Go, Reason: call.BestDaysBegin, State: "sent"},
			{At: at(1, 16), To: "Bo Lind", Task: call.BagOn, Standing: call.Ahead, Reason: call.DaysMoved, State: "refused"},
			{At: at(1, 15), To: "Bo Lind", Task: call.BagOn, Standing: call.Ahead, Reason: call.DaysComing, State: "given up"},
			{At: at(1, 14), To: "Cia Holm", Task: call.SendKit, Standing: call.Go, Reason: call.BestDaysBegin, State: "sent"},
		},
		Reports: []trail.Report{
			{Person: "ada", Task: string(call.BagOn), Kind: trail.Going, On: d("2031-05-04"), Day: d("2031-05-02")},
			{Person: "ada", Kind: trail.BagsOn, Tree: "T1", Selfing: 2, Control: 1, Day: d("2031-05-02")},
			{Person: "ada", Kind: trail.NotYet, BBCH: 7, Day: d("2031-05-01")},
			{Person: "ada", Kind: trail.StageSeen, BBCH: 1, Day: d("2031-04-26")},
			{Person: "cia", Kind: trail.KitArrived, Day: d("2031-04-18")},
		},
	}
	second := web.BoardSite{
		Code: "isoaho", Name: "Isoaho <& sons>", AltitudeM: 34,
		Calls: []web.BoardCall{
			{Task: call.BagOn, Standing: call.TooLate, Reason: call.ReportedPast, Days: days("2031-04-20", "2031-04-25")},
			{Task: call.TakeOff, Standing: call.LookFirst, Reason: call.LastDayPast, Days: days("2031-04-26", "2031-05-02")},
		},
	}
	return web.Board{
		Programme: "Birches of the North", Season: 2031, Now: noon, Simulated: true, Sites: []web.BoardSite{first, second},
		Skill: []stage.Skill{
			{Lead: 28, N: 1, CRPS: 250, Inside80: 0},
			{Lead: 14, N: 12, CRPS: 3, Inside80: 0.7512, Timed: 12, ErrorDays: 1, AbsErrorDays: 2.849, Compared: 12, ComparedCRPS: 3, CRPSMeanDate: 2.8, CRPSRegression: 4, Computed: 5},
			{Lead: 7, N: 14, CRPS: 2, Inside80: 0.82, Timed: 14, ErrorDays: 1, AbsErrorDays: 1.44, Compared: 14, ComparedCRPS: 2, CRPSMeanDate: 4, CRPSRegression: 2.5, Computed: 6},
		},
		Trouble: []string{"Station Alakoski has sent nothing for 3 days: ask its keeper, or name another station in stations.yml."},
	}
}
