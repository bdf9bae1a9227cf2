package season_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/season"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// zone is that of the random sites, three hours east.
var zone = time.FixedZone("", 3*3600)

// firstDay is the day on which random seasons begin; they are much shorter than
// real ones, so that many of them can be played.
var firstDay = civil.MustParse("2031-04-10")

const seasonDays = 30

// randomSeason is what is drawn of a season. A day of 0 is one on which
// forecasts stay as they are and nobody says anything.
type randomSeason struct {
	site   season.Site
	stages map[stage.BBCH]shape
	shed   shape
	days   []uint64
}

// shape is a distribution as forecast; it drifts from day to day.
type shape struct {
	median civil.Date
	scale  float64 // days; 0 is a step
	cap    float64 // chance that it happens at all
}

func (s shape) days() ensemble.Days {
	if s.scale == 0 {
		return ensemble.Days{From: s.median, By: []float64{s.cap}}
	}
	d := ensemble.Days{From: s.median - 30, By: make([]float64, 61)}
	for i := range d.By {
		d.By[i] = s.cap / (1 + math.Exp(-float64(i-30)/s.scale))
	}
	return d
}

func drawSeason(t *rapid.T) randomSeason {
	r := randomSeason{site: drawSite(t), stages: map[stage.BBCH]shape{}}
	at := firstDay + civil.Date(rapid.IntRange(0, 8).Draw(t, "swelling"))
	for _, s := range []struct {
		code    stage.BBCH
		spacing int
	}{{stage.BudSwelling, 0}, {stage.BudBreak, 9}, {stage.Flowering, 8}, {stage.FloweringOver, 7}, {stage.SeedRipe, 9}, {0, 8}} {
		at += civil.Date(rapid.IntRange(0, s.spacing).Draw(t, "days after the stage before"))
		sh := shape{median: at, scale: rapid.SampledFrom([]float64{0, 0.4, 1, 2, 4, 8}).Draw(t, "spread"), cap: rapid.SampledFrom([]float64{1, 1, 1, 0.97, 0.5, 0}).Draw(t, "chance at all")}
		if s.code == 0 {
			r.shed = sh
		} else {
			r.stages[s.code] = sh
		}
	}
	r.days = rapid.SliceOfN(rapid.Uint64(), seasonDays, seasonDays).Draw(t, "days")
	return r
}

func drawSite(t *rapid.T) season.Site {
	s := season.Site{
		Code: "RANDO", Season: 2031, LonDeg: 40, LatDeg: rapid.SampledFrom([]float64{50, 60, 66, 69}).Draw(t, "latitude"),
		Settings: season.Settings{
			MaxLeadDays: rapid.IntRange(3, 30).Draw(t, "max lead"), EarlyPerLost: 3, PickEarlyPerLost: 1, SlackLoss: 0.03,
			MinDays: rapid.IntRange(1, 7).Draw(t, "min days"), HurryDays: rapid.IntRange(1, 4).Draw(t, "hurry days"),
			TellAgainAfter: rapid.IntRange(1, 5).Draw(t, "tell again after"), PlanAheadDays: rapid.IntRange(0, 14).Draw(t, "plan ahead"),
			TellMovesWithin: rapid.IntRange(1, 20).Draw(t, "tell moves within"),
			LastDayChance:   rapid.SampledFrom([]float64{0.02, 0.1, 0.3}).Draw(t, "last day chance"),
			TooLateChance:   rapid.SampledFrom([]float64{0.8, 0.95, 1}).Draw(t, "too late chance"),
			MinSelfing:      2, MinControl: 1, TakeOffChance: 0.95, MaxOnDays: rapid.IntRange(1, 21).Draw(t, "max on"), ShortChance: 0.5,
			TransitDays: rapid.IntRange(0, 9).Draw(t, "transit"),
			AnswerTime:  rapid.SampledFrom([]time.Duration{30 * time.Minute, 6 * time.Hour, 24 * time.Hour, 60 * time.Hour}).Draw(t, "answer time"),
			SurveyDays:  rapid.IntRange(1, 9).Draw(t, "survey days"),
			LookWorth:   rapid.SampledFrom([]float64{0.001, 0.02, 0.2}).Draw(t, "look worth"), LookAgainDays: rapid.IntRange(1, 7).Draw(t, "look again"),
			LookBeforeDays: rapid.IntRange(0, 3).Draw(t, "look before"), StrongGustMS: 20, StrongWindMS: 14,
			CheckAfterDays: rapid.IntRange(2, 10).Draw(t, "check after"), CheckDays: rapid.IntRange(1, 3).Draw(t, "check days"), LotDays: rapid.IntRange(1, 7).Draw(t, "lot days"),
		},
	}
	if rapid.IntRange(0, 3).Draw(t, "rest") > 0 {
		s.Settings.RestFromHour, s.Settings.RestUntilHour = 21, 7
	}
	s.Settings.SurveyFrom = civil.MonthDay{Month: firstDay.Month(), Day: firstDay.Day() + rapid.IntRange(0, 9).Draw(t, "survey from")}
	mid, end := firstDay+14, firstDay+seasonDays-4
	s.Settings.MidSeason = civil.MonthDay{Month: mid.Month(), Day: mid.Day()}
	s.Settings.SeasonEnd = civil.MonthDay{Month: end.Month(), Day: end.Day()}
	for i, code := range []string{"T1", "T2", "T3"} {
		gone := rapid.IntRange(0, 4).Draw(t, "gone") == 1
		s.Trees = append(s.Trees, trail.Tree{Code: "R-" + code, Short: code, Gone: gone && i > 0})
	}
	for _, code := range []string{"p0", "p1", "p2", "p3"}[:rapid.IntRange(0, 4).Draw(t, "people")] {
		p := season.Person{Code: code, CanGo: season.Weekdays(rapid.SampledFrom([]uint8{0, 0, 0x41, 0x08, 0x3e}).Draw(t, "days to go"))}
		if days := rapid.SampledFrom([]int{0, 0, 0, 2, 9}).Draw(t, "days away"); days > 0 {
			first := firstDay + civil.Date(rapid.IntRange(0, 20).Draw(t, "away from"))
			p.Away = []civil.Range{{First: first, Last: first + civil.Date(days)}}
		}
		s.Field = append(s.Field, p)
	}
	s.Desk = slices.Clone(s.Field[len(s.Field)/2:])
	s.Lab = slices.Clone(s.Desk)
	if rapid.Bool().Draw(t, "laboratory") {
		s.Lab = append([]season.Person{{Code: "lab"}}, s.Lab...)
	}
	return s
}

// drift moves the forecasts on by a day as the weather does: mostly little,
// now and then far, and all stages to come alike.
func (r *randomSeason) drift(d *rand.Rand) {
	by := civil.Date(0)
	switch d.IntN(12) {
	case 0, 1, 2, 3:
		by = civil.Date(d.IntN(3) - 1)
	case 4, 5:
		by = civil.Date(d.IntN(7) - 3)
	case 6:
		by = civil.Date(d.IntN(25) - 12)
	}
	for _, code := range []stage.BBCH{stage.BudSwelling, stage.BudBreak, stage.Flowering, stage.FloweringOver, stage.SeedRipe} {
		s := r.stages[code]
		r.stages[code] = shape{s.median + by, s.scale * (0.93 + 0.1*d.Float64()), s.cap}
	}
	r.shed.median += by
}

func (r *randomSeason) forecast() season.Forecast {
	return season.Forecast{
		Swelling: r.stages[stage.BudSwelling].days(), Break: r.stages[stage.BudBreak].days(), Flowering: r.stages[stage.Flowering].days(),
		Over: r.stages[stage.FloweringOver].days(), Ripe: r.stages[stage.SeedRipe].days(), Shed: r.shed.days(),
	}
}

// says is what somebody reports or answers on a day, if anybody does.
func (r *randomSeason) says(d *rand.Rand, day civil.Date) (out []trail.Report) {
	person := func() string {
		if len(r.site.Field) == 0 {
			return "stranger"
		}
		return r.site.Field[d.IntN(len(r.site.Field))].Code
	}
	task := call.Tasks[d.IntN(len(call.Tasks))]
	tree := []string{"T1", "T2", "T3"}[d.IntN(3)]
	rep := trail.Report{Day: day - civil.Date(d.IntN(2)), Person: person()}
	switch d.IntN(48) {
	case 40:
		rep.Kind, rep.Task, rep.Day, rep.On = trail.Away, string(task), day, day+civil.Date(d.IntN(5)-1)
		rep.Until = rep.On + civil.Date(d.IntN(6))
	case 41:
		rep.Kind, rep.Task = []trail.Kind{trail.Unsafe, trail.NoPermission}[d.IntN(2)], string(task)
	case 42:
		rep.Kind, rep.Tree = []trail.Kind{trail.CatkinsSeen, trail.CatkinsSeen, trail.NoCatkins}[d.IntN(3)], []string{tree, ""}[d.IntN(2)]
	case 43:
		rep.Kind, rep.Tree, rep.Selfing = trail.BagsTorn, tree, d.IntN(3)
	case 44:
		rep.Kind, rep.Tree = trail.BagsFine, []string{tree, ""}[d.IntN(2)]
	case 45:
		rep.Kind, rep.Tree = trail.LotReceived, []string{tree, ""}[d.IntN(2)]
	case 46:
		rep.Kind, rep.Note = trail.Problem, "a branch is broken"
	case 47:
		rep.Kind, rep.BBCH, rep.Tree = []trail.Kind{trail.StageSeen, trail.NotYet}[d.IntN(2)], 7, tree
	case 0, 1, 2, 3, 4:
		rep.Kind, rep.Task, rep.On, rep.Day = trail.Going, string(task), day+civil.Date(d.IntN(7)-1), day
	case 5, 6, 7, 8:
		rep.Kind, rep.Task = trail.CannotGo, string(task)
	case 9, 10, 11:
		for _, tree := range []string{"T1", "T2", "T3"} {
			out = append(out, trail.Report{Kind: trail.BagsOn, Day: day, Tree: tree, Selfing: 2, Control: 1, Person: rep.Person})
		}
		return out
	case 12, 13:
		rep.Kind, rep.Tree, rep.Selfing, rep.Control = trail.BagsOn, tree, d.IntN(4), d.IntN(3)
	case 14:
		rep.Kind, rep.BBCH = trail.StageSeen, []int{1, 7, 60, 69}[d.IntN(4)]
	case 15, 16:
		rep.Kind, rep.BBCH = trail.NotYet, []int{1, 7, 60, 69}[d.IntN(4)]
	case 17, 18:
		rep.Kind, rep.Tree = []trail.Kind{trail.BagsOff, trail.Picked}[d.IntN(2)], tree
	case 19:
		rep.Kind = []trail.Kind{trail.SeedBrown, trail.SeedGreen, trail.KitArrived, trail.Understood, trail.NothingToPick}[d.IntN(5)]
	default:
		return nil
	}
	return []trail.Report{rep}
}
