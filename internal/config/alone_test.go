package config_test

import (
	"os"
	"strings"
	"testing"

	"budcall/internal/config"
	"budcall/internal/season"
	"budcall/internal/stage"
)

// A profile read by itself is the one that a folder with it has.
func TestAProfileByItself(t *testing.T) {
	body, err := os.ReadFile("../../config/profiles/silver-birch.yml")
	if err != nil {
		t.Fatal(err)
	}
	p, problems := config.ParseProfile("../../config/profiles/silver-birch.yml", body)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if st, ok := p.Find(stage.BudBreak); p.Key != "silver-birch" || !ok || st.MedianCd <= 0 {
		t.Errorf("%+v", p)
	}
}

func TestCallsByThemselves(t *testing.T) {
	got, problems := config.ParseCalls("calls.yml", []byte("calls:\n  max_lead_days: 21\n  answer_hours: 12\n"), season.Defaults())
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	want := season.Defaults()
	want.MaxLeadDays, want.AnswerTime = 21, want.AnswerTime/2
	if got != want {
		t.Errorf("%+v, want the defaults but for 21 days and 12 hours", got)
	}
}

func TestWhatIsWrongInAFileByItself(t *testing.T) {
	calls := func(text string) []config.Problem {
		_, problems := config.ParseCalls("calls.yml", []byte(text), season.Defaults())
		return problems
	}
	profile := func(text string) []config.Problem {
		_, problems := config.ParseProfile("birch.yml", []byte(text))
		return problems
	}
	for _, row := range []struct {
		what     string
		problems []config.Problem
		want     string
	}{
		{"an empty file", calls(""), "calls.yml:1: the file is empty"},
		{"no calls", calls("trees: 3\n"), "calls: is missing"},
		{"a setting at the top", calls("max_lead_days: 21\n"), "calls.yml:1: max_lead_days: unknown setting (it belongs under calls:)"},
		{"a setting nobody knows", calls("calls:\n  max_led_days: 21\n"), "calls.yml:2: calls.max_led_days: unknown setting (did you mean max_lead_days?)"},
		{"out of bounds", calls("calls:\n  max_lead_days: 2000\n"), "calls.yml:2: calls.max_lead_days: "},
		{"two that don't go together", calls("calls:\n  min_days: 2\n  hurry_days: 3\n"), "hurry_days must be fewer than min_days"},
		{"a profile without stages", profile("species: birch\n"), "birch.yml:1: stages: is missing"},
		{"a profile that isn't YAML", profile("species: [\n"), "birch.yml:"},
	} {
		var said []string
		for _, p := range row.problems {
			said = append(said, p.String())
		}
		if !strings.Contains(strings.Join(said, "\n"), row.want) {
			t.Errorf("%s: %q, want %q", row.what, said, row.want)
		}
	}
}
