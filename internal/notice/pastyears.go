package notice

import (
	"strings"

	"budcall/internal/words"
)

// PastYears is whose past years stand for the weather to come.
type PastYears struct {
	Own       int         `json:"own,omitempty"`  // the site's own
	Lent      []LentYears `json:"lent,omitempty"` // in the order of lenders
	Generated int         `json:"generated,omitempty"`
}

// LentYears is how many of them a station lent.
type LentYears struct {
	Station  string  `json:"station"`
	Years    int     `json:"years"`
	WithinK  float64 `json:"within_k"`            // how near its days come to the site's, K
	SeenDays int     `json:"seen_days,omitempty"` // on which both were read; 0: too few to tell
}

// Said gives it in the words of a language: "2 years of its own, 28 of KOL-MET (its days stand for the
// site's within 1.7 K; 731 days seen side by side)".
func (y PastYears) Said(c *words.Catalogue) string {
	var said []string
	if y.Own > 0 {
		said = append(said, c.Count(words.YearsOwn, y.Own))
	}
	for _, l := range y.Lent {
		seen := c.Text(words.YearsUnseen)
		if l.SeenDays > 0 {
			seen = c.Count(words.YearsSeen, l.SeenDays)
		}
		said = append(said, c.Count(words.YearsLent, l.Years, words.Args{"station": l.Station, "within": c.Kelvin(l.WithinK), "seen": seen}))
	}
	if y.Generated > 0 {
		said = append(said, c.Count(words.YearsGenerated, y.Generated))
	}
	return strings.Join(said, ", ")
}
