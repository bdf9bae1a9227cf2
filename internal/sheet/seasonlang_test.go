package sheet_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"budcall/internal/sheet"
)

// textsOf gives what a page says between its tags.
func textsOf(s sheet.Season) (all []string) {
	_, body, _ := strings.Cut(string(s.Page()), "</style>")
	for _, part := range strings.Split(body, "<")[1:] {
		if _, text, _ := strings.Cut(part, ">"); strings.TrimSpace(text) != "" {
			all = append(all, strings.TrimSpace(text))
		}
	}
	return all
}

func TestASeasonsPageIsWhollyInItsLanguage(t *testing.T) {
	wordy := regexp.MustCompile(`\p{L}{3}`)
	names := regexp.MustCompile(`Budcall v0|Person|Miss|gone|Northern Birch Selfing|Aino Hietavirta|Laura|Labora|&\w+;|Kolmivaara|KOL|OLD|CRPS|[A-Z]+-[-0-9A-Z*]+`)
	s := exampleSeason()
	english := textsOf(s)
	for _, lang := range []string{"fi", "sv"} {
		s.Lang = lang
		cells := textsOf(s)
		if len(cells) != len(english) {
			t.Errorf("%s: %d cells, %d in English", lang, len(cells), len(english))
		}
		for _, cell := range cells {
			if slices.Contains(english, cell) && wordy.MatchString(names.ReplaceAllString(cell, "")) {
				t.Errorf("%s: %q is left in English", lang, cell)
			}
		}
		if !slices.Contains(cells, "1,234") && !slices.Contains(cells, "1,23") {
			t.Errorf("%s: no number has a decimal comma", lang)
		}
	}
}
