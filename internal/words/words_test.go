package words_test

import (
	"math"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/words"
)

var en = words.For("en")

func day(monthDay string) civil.Date { return civil.MustParse("2031-" + monthDay) }

// The days of the week of 2031 are by the civil calendar: 3 May is a Saturday
// (cal 5 2031).
func TestDaysAreSaidAsPeopleSayThem(t *testing.T) {
	run := func(first, last string) string { return en.Days(civil.Range{First: day(first), Last: day(last)}) }
	choice := func(days ...string) string {
		var all []civil.Date
		for _, d := range days {
			all = append(all, day(d))
		}
		return en.AnyOf(all)
	}
	for _, row := range []struct{ sentence, got, want string }{
		{"a day", en.Day(day("05-03")), "Sat 3 May"},
		{"a day with its year", en.DayYear(day("05-03")), "Sat 3 May 2031"},
		{"a day without its weekday", en.Date(day("03-01")), "1 Mar"},
		{"no day", en.Day(0), "–"},
		{"no day with its year", en.DayYear(0), "–"},
		{"a run in a month", run("05-03", "05-07"), "Sat 3 – Wed 7 May"},
		{"a run over two months", run("04-30", "05-04"), "Wed 30 Apr – Sun 4 May"},
		{"a run of one day", run("05-03", "05-03"), "Sat 3 May"},
		{"a run backwards", run("05-03", "05-02"), "–"},
		{"two days", choice("05-03", "05-04"), "Sat 3 or Sun 4 May"},
		{"one day", choice("05-03"), "Sat 3 May"},
		{"none", choice(), ""},
		{"two days in two months", choice("04-30", "05-01"), "Wed 30 Apr or Thu 1 May"},
		{"weekends over two months", choice("04-26", "04-27", "05-03", "05-04"), "Sat 26, Sun 27 Apr, Sat 3 or Sun 4 May"},
		{"five days on end", choice("05-03", "05-04", "05-05", "05-06", "05-07"), "Sat 3 – Wed 7 May"},
		{"five days with a gap", choice("05-03", "05-04", "05-05", "05-06", "05-08"), "Sat 3, Sun 4, Mon 5, Tue 6 or Thu 8 May"},
		{"a moment", en.Moment(day("05-02").In(time.FixedZone("", 3*3600), 17, 0)), "Fri 2 May, 17:00"},
	} {
		if row.got != row.want {
			t.Errorf("%s: %q, want %q", row.sentence, row.got, row.want)
		}
	}
}

func TestTheSameMonthOfAnotherYearIsNotTheSameMonth(t *testing.T) {
	r := civil.Range{First: civil.MustParse("2031-05-03"), Last: civil.MustParse("2032-05-03")}
	if got, want := en.Days(r), "Sat 3 May – Mon 3 May"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestOddsAndMeasures(t *testing.T) {
	for _, row := range []struct{ sentence, got, want string }{
		{"odds of one half per cent round up", en.Odds(0.005), "1 in 100"},
		{"small odds aren't none", en.Odds(0.004), "fewer than 1 in 100"},
		{"no odds aren't none either", en.Odds(0), "fewer than 1 in 100"},
		{"odds", en.Odds(0.02), "2 in 100"},
		{"odds rounded", en.Odds(0.154), "15 in 100"},
		{"high odds", en.Odds(0.99), "99 in 100"},
		{"certain odds aren't certain", en.Odds(1), "more than 99 in 100"},
		{"odds that aren't a number", en.Odds(math.NaN()), "fewer than 1 in 100"},
		{"hardly", en.Likelihood(0.004), "all but ruled out (fewer than 1 in 100)"},
		{"very unlikely", en.Likelihood(0.09), "very unlikely (9 in 100)"},
		{"unlikely", en.Likelihood(0.22), "unlikely (22 in 100)"},
		{"even", en.Likelihood(0.5), "about as likely as not (50 in 100)"},
		{"likely", en.Likelihood(0.8), "likely (80 in 100)"},
		{"very likely", en.Likelihood(0.96), "very likely (96 in 100)"},
		{"nearly certain", en.Likelihood(0.995), "nearly certain (more than 99 in 100)"},
		{"far", en.Distance(34.4), "34 km"},
		{"near", en.Distance(3.44), "3.4 km"},
		{"just below ten", en.Distance(9.97), "10 km"},
		{"at the site", en.Distance(0.2), "less than 1 km"},
		{"higher", en.Higher(119.6), "120 m higher"},
		{"lower", en.Higher(-40), "40 m lower"},
		{"level", en.Higher(4), "at the same height"},
		{"heat", en.HeatSum(42.6), "43 degree days"},
		{"a temperature", en.Celsius(8.44), "8.4 °C"},
		{"a temperature just below zero has no sign", en.Celsius(-0.04), "0.0 °C"},
		{"no temperature", en.Celsius(math.NaN()), "–"},
		{"a round threshold", en.Degrees(5), "5 °C"},
		{"a broken threshold", en.Degrees(4.5), "4.5 °C"},
	} {
		if row.got != row.want {
			t.Errorf("%s: %q, want %q", row.sentence, row.got, row.want)
		}
	}
}

func TestTextsAreFilledInOnePass(t *testing.T) {
	for _, row := range []struct{ sentence, got, want string }{
		{"a value is put in", en.Text(words.DistanceKm, words.Args{"n": "3"}), "3 km"},
		{"a value with a placeholder in it stays as it is", en.Text(words.ListAnd, words.Args{"before": "{last}", "last": "x"}), "{last} and x"},
		{"a missing value is seen", en.Text(words.DistanceKm), "{n} km"},
		{"one bag", en.Count(words.SelfingBags, 1), "1 selfing bag"},
		{"two bags", en.Count(words.SelfingBags, 2), "2 selfing bags"},
		{"no bags", en.Count(words.SelfingBags, 0), "0 selfing bags"},
		{"a list of none", en.List(nil), ""},
		{"a list of one", en.List([]string{"a"}), "a"},
		{"a list of three", en.List([]string{"a", "b", "c"}), "a, b and c"},
		{"an unknown stage", en.Stage(53), "BBCH 53"},
		{"a known stage", en.Stage(7), "bud break"},
		{"an unknown role stays as written", en.Role("driver"), "driver"},
		{"a key that isn't there comes out as itself", en.Text("no.such"), "no.such"},
	} {
		if row.got != row.want {
			t.Errorf("%s: %q, want %q", row.sentence, row.got, row.want)
		}
	}
}

func TestALanguageThatIsNotThereIsEnglish(t *testing.T) {
	for _, lang := range []string{"", "en", "EN", "en-GB", "xx", "–"} {
		if got := words.For(lang).Lang(); got != "en" {
			t.Errorf("For(%q) is %q, want en", lang, got)
		}
	}
}
