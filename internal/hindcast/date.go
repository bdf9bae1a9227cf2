package hindcast

import (
	"fmt"
	"strings"
	"time"

	"budcall/internal/civil"
)

// layouts are the ways to write a day that can't be misread. With slashes it
// can be: 3/4 is in March or in April.
var layouts = []string{time.DateOnly, "2006/01/02", "20060102", "2.1.2006"}

// parseDay reads a day; a time of day behind it is left out.
func parseDay(text string) (civil.Date, error) {
	day, _, _ := strings.Cut(strings.Replace(text, "T", " ", 1), " ")
	for _, l := range layouts {
		if t, err := time.Parse(l, day); err == nil && t.Year() >= 1 {
			return civil.Of(t.Year(), t.Month(), t.Day()), nil
		}
	}
	return 0, fmt.Errorf("%q is no day: write YYYY-MM-DD, such as 2031-05-04", text)
}
