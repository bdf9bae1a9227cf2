package words_test

import (
	"math"
	"testing"
)

func TestHowAForecastDidIsSaid(t *testing.T) {
	nan := math.NaN()
	for _, row := range []struct{ sentence, got, want string }{
		{"late", en.ScoreLine(14, 1.6, 1), "14 days before: 2 days too late"},
		{"late by one", en.ScoreLine(7, 0.5, 9), "7 days before: 1 day too late"},
		{"early", en.ScoreLine(28, -3.4, 1), "28 days before: 3 days too early"},
		{"right", en.ScoreLine(3, -0.4, 1), "3 days before: right to the day"},
		{"right, as far as weekly visits tell", en.ScoreLine(3, 0, 7), "3 days before: right, as far as is known"},
		{"right, as far as a single visit tells", en.ScoreLine(3, 0, 0), "3 days before: right, as far as is known"},
		{"held to a day", en.ScoredOf("said", day("05-02"), 1), "said"},
		{"held to a week", en.ScoredOf("said", day("04-26"), 7), "said (not yet there on Sat 26 Apr)"},
		{"held to one side", en.ScoredOf("said", 0, 0), "said (nobody had looked before)"},
		{"never", en.ScoreLine(56, nan, 1), "56 days before: not within the year"},
		{"a mean", en.MeanDays(2.06), "2.1 days"},
		{"no mean", en.MeanDays(nan), "–"},
		{"a share", en.Share(0.826), "83 %"},
		{"less than nothing", en.Share(-0.104), "−10 %"},
		{"no share", en.Share(nan), "–"},
	} {
		if row.got != row.want {
			t.Errorf("%s: %q, want %q", row.sentence, row.got, row.want)
		}
	}
}
