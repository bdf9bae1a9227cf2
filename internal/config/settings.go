package config

import (
	"fmt"
	"math"
	"time"

	"budcall/internal/civil"
	"budcall/internal/season"
)

// setting is one threshold of the calls: its key, what it may be, and where it
// goes. The bounds are our assumptions: outside of them is more likely a slip
// of the keyboard, or another unit, than meant.
type setting struct {
	key string
	bounds
	at func(*season.Settings) any // *int, *float64, *time.Duration in hours, or *civil.MonthDay
}

// callSettings are the settings under "calls:", in the order of a season.
var callSettings = []setting{
	{"transit_days", bounds{0, 60, "days"}, func(s *season.Settings) any { return &s.TransitDays }},
	{"plan_ahead_days", bounds{1, 60, "days"}, func(s *season.Settings) any { return &s.PlanAheadDays }},
	{"max_lead_days", bounds{1, 90, "days"}, func(s *season.Settings) any { return &s.MaxLeadDays }},
	{"early_per_lost", bounds{0.1, 100, "bags that hang too long for one tree lost"}, func(s *season.Settings) any { return &s.EarlyPerLost }},
	{"slack_loss", bounds{0, 0.5, "trees lost for each tree; 0.03 is 3 in 100"}, func(s *season.Settings) any { return &s.SlackLoss }},
	{"min_days", bounds{1, 21, "days"}, func(s *season.Settings) any { return &s.MinDays }},
	{"hurry_days", bounds{1, 14, "days"}, func(s *season.Settings) any { return &s.HurryDays }},
	{"tell_again_after_days", bounds{1, 30, "days"}, func(s *season.Settings) any { return &s.TellAgainAfter }},
	{"tell_moves_within_days", bounds{1, 60, "days"}, func(s *season.Settings) any { return &s.TellMovesWithin }},
	{"last_day_chance", bounds{0.01, 0.5, "a chance; 0.1 is 1 in 10"}, func(s *season.Settings) any { return &s.LastDayChance }},
	{"too_late_chance", bounds{0.5, 0.999, "a chance; 0.95 is 19 in 20"}, func(s *season.Settings) any { return &s.TooLateChance }},
	{"second_trip_early", bounds{0, 1, "a chance; 0.3 is 3 in 10"}, func(s *season.Settings) any { return &s.SecondTripEarly }},
	{"second_trip_late", bounds{0, 1, "a chance; 0.1 is 1 in 10"}, func(s *season.Settings) any { return &s.SecondTripLate }},
	{"min_selfing", bounds{1, 20, "bags for each tree"}, func(s *season.Settings) any { return &s.MinSelfing }},
	{"min_control", bounds{1, 20, "bags for each tree; without a control nobody can tell selfed seed"}, func(s *season.Settings) any { return &s.MinControl }},
	{"take_off_chance", bounds{0.5, 0.999, "a chance; 0.95 is 19 in 20"}, func(s *season.Settings) any { return &s.TakeOffChance }},
	{"max_on_days", bounds{1, 60, "days"}, func(s *season.Settings) any { return &s.MaxOnDays }},
	{"pick_early_per_lost", bounds{0.1, 100, "unripe pickings for one tree's seed shed"}, func(s *season.Settings) any { return &s.PickEarlyPerLost }},
	{"shed_after_cd", bounds{10, 500, "degree days Celsius, not Fahrenheit"}, func(s *season.Settings) any { return &s.ShedAfterCd }},
	{"short_chance", bounds{0.05, 0.95, "a chance; 0.5 is 1 in 2"}, func(s *season.Settings) any { return &s.ShortChance }},
	{"mid_season", bounds{}, func(s *season.Settings) any { return &s.MidSeason }},
	{"season_end", bounds{}, func(s *season.Settings) any { return &s.SeasonEnd }},
	{"answer_hours", bounds{0.5, 168, "hours"}, func(s *season.Settings) any { return &s.AnswerTime }},
	{"rest_from_hour", bounds{0, 23, "hours of the day"}, func(s *season.Settings) any { return &s.RestFromHour }},
	{"rest_until_hour", bounds{0, 23, "hours of the day"}, func(s *season.Settings) any { return &s.RestUntilHour }},
	{"survey_from", bounds{}, func(s *season.Settings) any { return &s.SurveyFrom }},
	{"survey_days", bounds{1, 90, "days"}, func(s *season.Settings) any { return &s.SurveyDays }},
	{"look_worth", bounds{0.001, 0.5, "trees lost for each tree; 0.02 is 2 in 100"}, func(s *season.Settings) any { return &s.LookWorth }},
	{"look_again_days", bounds{1, 30, "days"}, func(s *season.Settings) any { return &s.LookAgainDays }},
	{"look_before_days", bounds{0, 14, "days"}, func(s *season.Settings) any { return &s.LookBeforeDays }},
	{"strong_gust_ms", bounds{5, 60, "metres a second, not km/h or knots"}, func(s *season.Settings) any { return &s.StrongGustMS }},
	{"strong_wind_ms", bounds{3, 40, "metres a second, not km/h or knots"}, func(s *season.Settings) any { return &s.StrongWindMS }},
	{"check_after_days", bounds{2, 60, "days"}, func(s *season.Settings) any { return &s.CheckAfterDays }},
	{"check_days", bounds{1, 14, "days"}, func(s *season.Settings) any { return &s.CheckDays }},
	{"lot_days", bounds{1, 60, "days"}, func(s *season.Settings) any { return &s.LotDays }},
}

func isCallSetting(key string) bool {
	for _, s := range callSettings {
		if s.key == key {
			return true
		}
	}
	return false
}

// readSettings gives base with what the section says instead.
func readSettings(calls *section, base season.Settings) season.Settings {
	for _, s := range callSettings {
		calls.get(s.key).into(s.at(&base), s.bounds)
	}
	for _, r := range relations {
		r.check(calls, base)
	}
	return base
}

// into stores a value where its setting goes, if it is set and right.
func (e entry) into(field any, b bounds) {
	switch field := field.(type) {
	case *int:
		if v, ok := e.whole(b); ok {
			*field = v
		}
	case *float64:
		if v, ok := e.number(b); ok {
			*field = v
		}
	case *time.Duration:
		if v, ok := e.number(b); ok {
			*field = time.Duration(math.Round(v*60)) * time.Minute
		}
	case *civil.MonthDay:
		if v, ok := e.monthDay(); ok {
			*field = v
		}
	}
}

// relation is what must hold between two settings.
type relation struct {
	first, second string
	holds         func(season.Settings) bool
	says          string
}

var relations = []relation{
	{"hurry_days", "min_days", func(s season.Settings) bool { return s.HurryDays < s.MinDays },
		"hurry_days must be fewer than min_days, or every day told would be one of the last"},
	{"min_days", "max_lead_days", func(s season.Settings) bool { return s.MinDays <= s.MaxLeadDays },
		"min_days can't be more than max_lead_days, the time that a bag may hang before flowering"},
	{"last_day_chance", "too_late_chance", func(s season.Settings) bool { return s.LastDayChance < s.TooLateChance },
		"last_day_chance must be below too_late_chance"},
	{"strong_wind_ms", "strong_gust_ms", func(s season.Settings) bool { return s.StrongWindMS <= s.StrongGustMS },
		"strong_wind_ms, the mean of ten minutes, can't be above strong_gust_ms"},
	{"check_days", "check_after_days", func(s season.Settings) bool { return s.CheckDays < s.CheckAfterDays },
		"check_days must be fewer than check_after_days, or one check would run into the next"},
	{"mid_season", "season_end", func(s season.Settings) bool { return before(s.MidSeason, s.SeasonEnd) },
		"mid_season must come before season_end"},
}

// check reports a relation that a section breaks. Where it sets neither of the
// two, whoever set them is told.
func (r relation) check(calls *section, s season.Settings) {
	e := calls.get(r.first)
	if !e.set() {
		e = calls.get(r.second)
	}
	if !e.set() || r.holds(s) {
		return
	}
	e.problem(r.says, fmt.Sprintf("here %s is %s and %s is %s", r.first, shown(r.first, s), r.second, shown(r.second, s)))
}

// shown gives a setting as people write it.
func shown(key string, s season.Settings) string {
	for _, c := range callSettings {
		if c.key != key {
			continue
		}
		switch v := c.at(&s).(type) {
		case *int:
			return fmt.Sprint(*v)
		case *float64:
			return plain(*v)
		case *time.Duration:
			return plain(v.Hours())
		case *civil.MonthDay:
			return fmt.Sprintf("%d %s", v.Day, v.Month)
		}
	}
	return ""
}
