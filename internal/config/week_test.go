package config_test

import (
	"slices"
	"testing"
	"time"

	"budcall/internal/config"
)

func TestTheOverviewIsDueOnMondaysUnlessSaidOtherwise(t *testing.T) {
	helsinki, err := time.LoadLocation("Europe/Helsinki")
	if err != nil {
		t.Fatal(err)
	}
	good := folder(t, "testdata/good", false)
	for _, row := range []struct {
		sentence, more string
		due            time.Time // after Thursday 1 May 2031, 12:00
		to             []string
	}{
		{"by itself, Monday at seven", "", time.Date(2031, 5, 5, 7, 0, 0, 0, helsinki), nil},
		{"on the day that was set, to others as well", "  week: \"30 8 * * 5\"\n  week_also_to: [ops]\n", time.Date(2031, 5, 2, 8, 30, 0, 0, helsinki), []string{"ops"}},
	} {
		body := "# changed\ncode: GOOD\nname: A programme in order\nzone: Europe/Helsinki\ncoordinator: cora\nops: ops\n" +
			"mail: {relay: \"localhost:25\", tls: none, from: calls@birches.example}\nslots:\n  evening: \"0 17 * * *\"\n" + row.more
		p, problems := config.Parse(with(good, "programme.yml", body), time.LoadLocation)
		if len(problems) > 0 {
			t.Fatalf("%s: %v", row.sentence, problems)
		}
		due := p.Week.Rule.Next(time.Date(2031, 5, 1, 12, 0, 0, 0, helsinki))
		if !due.Equal(row.due) || !slices.Equal(p.WeekTo, row.to) {
			t.Errorf("%s: %s to %q, want %s to %q", row.sentence, due, p.WeekTo, row.due, row.to)
		}
	}
}
