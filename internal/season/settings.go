// Package season is the calls of a season at one site: on which days each of
// them falls, how it stands today, and who must be told what, with the reason.
package season

import (
	"time"

	"budcall/internal/civil"
)

// Settings are the thresholds of the calls. Every one can be set for the
// programme and for a site; the defaults are our assumptions, but for
// EarlyPerLost, TellAgainAfter, TellMovesWithin and TakeOffChance, which were
// chosen by rehearsing past springs (budcall rehearse, odd years).
type Settings struct {
	MaxLeadDays      int            // days a bag may hang before flowering begins
	EarlyPerLost     float64        // bags that hang too long which weigh as one tree lost
	PickEarlyPerLost float64        // unripe pickings which weigh as one tree's seed shed
	SlackLoss        float64        // expected loss per tree by which the days told may exceed the best day
	MinDays          int            // days told at least
	HurryDays        int            // last days of a call that count as the last ones
	TellAgainAfter   int            // days by which told days must move to be told again
	TellMovesWithin  int            // days before the first day from which on moves are told
	PlanAheadDays    int            // days before the first day at which people are told to plan
	LastDayChance    float64        // chance of bud break (or shedding) that the last day may have at most
	TooLateChance    float64        // chance from which on it counts as past
	SecondTripEarly  float64        // early(d) above which an unswollen tree is left for a second trip …
	SecondTripLate   float64        // … if bud break within 7 days is less likely than this
	MinSelfing       int            // selfing bags a tree needs
	MinControl       int            // control bags a tree needs
	TakeOffChance    float64        // chance that no birch sheds pollen any more, from which on bags come off
	MaxOnDays        int            // days after that within which they must be off
	ShedAfterCd      float64        // °C·d after ripeness at which half of the seed is shed
	ShortChance      float64        // chance of ripe seed below which a season is called short
	MidSeason        civil.MonthDay // from this day on a short season is spoken of
	SeasonEnd        civil.MonthDay // the last day on which seed can ripen
	TransitDays      int            // days that the kit is under way
	AnswerTime       time.Duration  // time allowed for an answer
	RestFromHour     int            // hour of a person's day from which nothing rings, and no answer is waited for …
	RestUntilHour    int            // … until this one; the same hour twice: never at rest
	SurveyFrom       civil.MonthDay // first day of the weeks in which trees are surveyed
	SurveyDays       int            // days that the survey may take
	LookWorth        float64        // trees lost for each tree by which a look at buds must lower the expected loss: what a mail is worth
	LookAgainDays    int            // days after a look at buds within which no other is asked for
	LookBeforeDays   int            // last days of bagging in which no look at buds is asked for
	StrongGustMS     float64        // m/s: gusts from which on bags are checked
	StrongWindMS     float64        // m/s: means of ten minutes from which on bags are checked
	CheckAfterDays   int            // days without a look after which bags are checked
	CheckDays        int            // days within which they must be
	LotDays          int            // days within which a lot must reach the laboratory
}

// Defaults gives the settings that hold where config says nothing.
func Defaults() Settings {
	return Settings{
		MaxLeadDays: 28, EarlyPerLost: 2, PickEarlyPerLost: 1, SlackLoss: 0.03, MinDays: 5,
		HurryDays: 2, TellAgainAfter: 4, TellMovesWithin: 3, PlanAheadDays: 14, LastDayChance: 0.10, TooLateChance: 0.95,
		SecondTripEarly: 0.3, SecondTripLate: 0.1, MinSelfing: 2, MinControl: 1,
		TakeOffChance: 0.98, MaxOnDays: 21, ShedAfterCd: 100, ShortChance: 0.5,
		MidSeason: civil.MonthDay{Month: time.July, Day: 15}, SeasonEnd: civil.MonthDay{Month: time.September, Day: 30},
		TransitDays: 7, AnswerTime: 24 * time.Hour, RestFromHour: 21, RestUntilHour: 7,
		SurveyFrom: civil.MonthDay{Month: time.March, Day: 1}, SurveyDays: 21,
		LookWorth: 0.02, LookAgainDays: 7, LookBeforeDays: 3,
		StrongGustMS: 20, StrongWindMS: 14, CheckAfterDays: 10, CheckDays: 3, LotDays: 7,
	}
}

// Weekdays is the days of the week on which somebody can go; bit 0 is Sunday.
// The zero value means any day, since nothing is known.
type Weekdays uint8

// Has reports whether day is one of them.
func (w Weekdays) Has(day civil.Date) bool {
	return w == 0 || w&(1<<uint(day.Weekday())) != 0
}

// On gives w with a weekday added.
func (w Weekdays) On(day time.Weekday) Weekdays { return w | 1<<uint(day) }
