package words_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/trail"
	"budcall/internal/words"
)

var (
	fi = words.For("fi-FI")
	sv = words.For("sv")
)

// How days and numbers are written in Finnish and Swedish is common practice,
// no source; the days of the week of 2031 are by the civil calendar.
func TestDaysAndNumbersInFinnish(t *testing.T) {
	at := day("05-02").In(time.FixedZone("", 3*3600), 17, 5)
	for _, row := range []struct{ sentence, got, want string }{
		{"a day", fi.Day(day("05-03")), "la 3.5."},
		{"a day with its year", fi.DayYear(day("05-03")), "la 3.5.2031"},
		{"a day without its weekday", fi.Date(day("03-01")), "1.3."},
		{"a run in a month", fi.Days(civil.Range{First: day("05-03"), Last: day("05-07")}), "la 3. – ke 7.5."},
		{"a run over two months", fi.Days(civil.Range{First: day("04-30"), Last: day("05-04")}), "ke 30.4. – su 4.5."},
		{"two days", fi.AnyOf([]civil.Date{day("05-03"), day("05-04")}), "la 3. tai su 4.5."},
		{"a moment", fi.Moment(at), "pe 2.5. klo 17.05"},
		{"a sentence that a day ends has one full stop", fi.Text(words.WhenDays, words.Args{"days": fi.Day(day("05-03"))}), "la 3.5."},
		{"a day within a sentence keeps its own", fi.Text(words.DaysBy, words.Args{"day": fi.Day(day("05-03"))}), "viimeistään la 3.5."},
		{"a temperature", fi.Celsius(8.44), "8,4 °C"},
		{"a temperature below zero", fi.Celsius(-8.44), "-8,4 °C"},
		{"near", fi.Distance(3.44), "3,4 km"},
		{"a broken threshold", fi.Degrees(4.5), "4,5 °C"},
		{"a mean", fi.MeanDays(2.06), "2,1 päivää"},
		{"no mean", fi.MeanDays(math.NaN()), "–"},
		{"a small bound", fi.Isolation(trail.Isolation{Verdict: trail.Bounded, AtMost: 0.0412}), "täysistä itsepölytyssiemenistä enintään 4,2 % voi olla vieraasta siitepölystä"},
		{"one bag", fi.Count(words.SelfingBags, 1), "1 itsepölytyspussi"},
		{"two bags", fi.Count(words.SelfingBags, 2), "2 itsepölytyspussia"},
		{"no bags", fi.Count(words.SelfingBags, 0), "0 itsepölytyspussia"},
		{"a list", fi.List([]string{"a", "b", "c"}), "a, b ja c"},
		{"a task at a site", fi.TaskAt(call.BagOn, "Kolmivaara"), "Pussit puihin, Kolmivaara"},
		{"a stage without a name", fi.Stage(53), "BBCH 53"},
	} {
		if row.got != row.want {
			t.Errorf("%s: %q, want %q", row.sentence, row.got, row.want)
		}
	}
}

func TestDaysAndNumbersInSwedish(t *testing.T) {
	at := day("05-02").In(time.FixedZone("", 3*3600), 17, 5)
	for _, row := range []struct{ sentence, got, want string }{
		{"a day", sv.Day(day("05-03")), "lör 3 maj"},
		{"a day with its year", sv.DayYear(day("08-03")), "sön 3 aug. 2031"},
		{"a day without its weekday", sv.Date(day("03-01")), "1 mars"},
		{"a run in a month", sv.Days(civil.Range{First: day("05-03"), Last: day("05-07")}), "lör 3 – ons 7 maj"},
		{"a run over two months", sv.Days(civil.Range{First: day("04-30"), Last: day("05-04")}), "ons 30 april – sön 4 maj"},
		{"two days", sv.AnyOf([]civil.Date{day("05-03"), day("05-04")}), "lör 3 eller sön 4 maj"},
		{"a moment", sv.Moment(at), "fre 2 maj kl. 17.05"},
		{"a sentence that a short month ends has one full stop", sv.Text(words.WhenDays, words.Args{"days": sv.Day(day("08-03"))}), "sön 3 aug."},
		{"a temperature", sv.Celsius(8.44), "8,4 °C"},
		{"a mean", sv.MeanDays(2.06), "2,1 dagar"},
		{"one bag", sv.Count(words.ControlBags, 1), "1 kontrollpåse"},
		{"two bags", sv.Count(words.ControlBags, 2), "2 kontrollpåsar"},
		{"one day", sv.Count(words.DaysCount, 1), "1 dag"},
		{"no days", sv.Count(words.DaysCount, 0), "0 dagar"},
		{"a list", sv.List([]string{"a", "b", "c"}), "a, b och c"},
		{"a task at a site", sv.TaskAt(call.TakeOff, "Storskär"), "Ta ner påsarna, Storskär"},
	} {
		if row.got != row.want {
			t.Errorf("%s: %q, want %q", row.sentence, row.got, row.want)
		}
	}
}

func TestEveryLanguageOfTheSettingsIsThere(t *testing.T) {
	if got := words.Languages(); !slices.Equal(got, []string{"en", "fi", "sv"}) {
		t.Errorf("%v", got)
	}
	for _, lang := range words.Languages() {
		if got := words.For(lang).Lang(); got != lang {
			t.Errorf("%s calls itself %s", lang, got)
		}
	}
}
