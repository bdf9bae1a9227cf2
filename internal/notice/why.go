package notice

import (
	"strings"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/words"
)

// why is the ground of an item in exactly three lines: the heat so far against
// the need, the odds, and the station.
func (i item) why() []string {
	return []string{i.heat(), i.odds(), i.station()}
}

func (i item) heat() string {
	y := i.Why
	if !(y.NeedCd > 0) || y.Since.IsZero() {
		return i.c.Text(words.WhyHeatUnknown)
	}
	said := i.c.Text(words.WhyHeat, words.Args{
		"heat": i.c.Number(y.HeatCd), "need": i.c.Number(y.NeedCd), "stage": i.stage(),
		"base": i.c.Degrees(y.BaseC), "since": i.c.Date(y.Since),
	})
	span := civil.Range{First: y.P10, Last: y.P90}
	switch {
	case y.P50.IsZero():
		return said
	case span.Len() > 1 && !y.P10.IsZero():
		return said + " " + i.c.Text(words.WhyExpectedSpan, words.Args{"p50": i.c.Day(y.P50), "span": i.c.Days(span)})
	}
	return said + " " + i.c.Text(words.WhyExpected, words.Args{"p50": i.c.Day(y.P50)})
}

// stage names the stage whose heat is meant, in the letter's language where
// its name is known there.
func (i item) stage() string {
	if name, ok := i.c.StageKnown(int(i.Why.Stage)); ok || i.Why.StageName == "" {
		return name
	}
	return i.Why.StageName
}

func (i item) odds() string {
	y := i.Why
	within := words.Args{"days": i.c.Count(words.DaysCount, y.Within)}
	known := !y.P10.IsZero() && !y.P50.IsZero() && !y.P90.IsZero()
	switch {
	case i.Replaces && !y.GoOn.IsZero():
		return i.c.Text(words.WhyReplace, words.Args{"go": i.c.Day(y.GoOn), "late": i.c.Odds(y.GoLate)})
	case i.weighs() && !y.GoOn.IsZero():
		return i.going()
	case i.Task == call.SurveyTrees:
		return i.c.Text(words.WhySurvey)
	case i.Task == call.LookAtBuds && known:
		return i.c.Text(words.WhyBuds, words.Args{"p10": i.c.Day(y.P10), "p50": i.c.Day(y.P50), "p90": i.c.Day(y.P90)})
	case i.Task == call.CheckBags && (i.Reason == call.StrongWind || y.Within == 0):
		return i.c.Text(words.WhyCheckWind)
	case i.Task == call.CheckBags:
		return i.c.Text(words.WhyCheckDue, within)
	case i.Task == call.LotExpected:
		return i.c.Text(words.WhyLots, within)
	case i.Task == call.SendKit && !y.P10.IsZero():
		return i.c.Text(words.WhyKit, words.Args{"p10": i.c.Day(y.P10)})
	case i.Task == call.TakeOff && y.Chance > 0:
		day := y.GoOn
		if day.IsZero() {
			day = max(i.Days.First, i.Today)
		}
		return i.c.Text(words.WhyTakeOff, words.Args{"day": i.c.Day(day), "likely": i.c.Likelihood(y.Chance)})
	case i.Task == call.LookAtSeed && known:
		return i.c.Text(words.WhyLook, words.Args{"p10": i.c.Day(y.P10), "p50": i.c.Day(y.P50), "p90": i.c.Day(y.P90)})
	case i.Task == call.ShortSeason && !y.SeasonEnd.IsZero():
		return i.c.Text(words.WhyShort, words.Args{"end": i.c.Day(y.SeasonEnd), "likely": i.c.Likelihood(y.Chance)})
	}
	return i.c.Text(words.WhyOddsUnknown)
}

// going weighs going on a day against waiting.
func (i item) going() string {
	y := i.Why
	k := words.WhyGoBag
	if i.Task == call.PickSeed {
		k = words.WhyGoSeed
	}
	said := i.c.Text(k, words.Args{
		"go": i.c.Day(y.GoOn), "late": i.c.Odds(y.GoLate), "early": i.c.Odds(y.GoEarly),
		"lead": i.c.Count(words.DaysCount, y.MaxLead),
	})
	if y.WaitFor.IsZero() {
		return said + " " + i.c.Text(words.WhyNoWait)
	}
	return said + " " + i.c.Text(words.WhyWait, words.Args{
		"wait": i.c.Day(y.WaitFor), "late": i.c.Odds(y.WaitLate), "early": i.c.Odds(y.WaitEarly),
	})
}

func (i item) station() string {
	y := i.Why
	said := []string{i.c.Text(words.WhyStationNone)}
	if y.Station != "" {
		said[0] = i.c.Text(words.WhyStation, words.Args{
			"station": y.Station, "distance": i.c.Distance(y.DistanceKm), "higher": i.c.Higher(y.HigherM),
		})
		if y.Reading.IsZero() {
			said = append(said, i.c.Text(words.WhyNoReading))
		} else {
			said = append(said, i.c.Text(words.WhyReading, words.Args{"day": i.c.Day(y.Reading)}))
		}
		switch {
		case y.StandsFor == "":
		case y.StandsSince.IsZero():
			said = append(said, i.c.Text(words.WhyStandsIn, words.Args{"station": y.StandsFor}))
		default:
			said = append(said, i.c.Text(words.WhyStandsInSince, words.Args{"station": y.StandsFor, "day": i.c.Day(y.StandsSince)}))
		}
	}
	if y.Years != nil {
		said = append(said, i.c.Text(words.WhyMembers, words.Args{"years": y.Years.Said(i.c)}))
	}
	if y.Forecast {
		return strings.Join(append(said, i.c.Text(words.WhyForecast)), " ")
	}
	return strings.Join(append(said, i.c.Text(words.WhyNoForecast)), " ")
}
