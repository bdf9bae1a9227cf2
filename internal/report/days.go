package report

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"budcall/internal/civil"
)

// calendar reads days as people write them, seen from the day of writing.
type calendar struct {
	words   *Vocabulary
	written civil.Date
	back    bool // a weekday is the last one, not the next: of things done
}

// day reads a day at the start of list and gives how many tokens it took; 0:
// no day stands there. A day that stands there and is none, or could be two,
// gives the reason.
func (c calendar) day(list []token) (civil.Date, int, Why) {
	for n := min(2, len(list)); n > 0; n-- {
		if off, ok := c.words.relative[join(list[:n])]; ok {
			return c.written + civil.Date(off), n, ""
		}
	}
	if len(list) == 0 {
		return 0, 0, ""
	}
	wd, ok := c.words.weekdays[list[0].text]
	if !ok {
		return c.date(list)
	}
	n := 1
	for n < len(list) && list[n].is(".,") && (list[n].glued || list[n].text == ",") {
		n++
	}
	if d, more, why := c.date(list[n:]); more > 0 {
		if why == "" && int(d.Weekday()) != wd {
			why = UnclearDay
		}
		return d, n + more, why
	}
	if n > 1 && list[1].text == "," { // "sat, T1 2+1": the comma parts them
		n = 1
	}
	ahead := (wd - int(c.written.Weekday()) + 7) % 7
	if c.back && ahead > 0 {
		ahead -= 7
	}
	return c.written + civil.Date(ahead), n, ""
}

// date reads a date in figures, or with the month's name.
func (c calendar) date(list []token) (civil.Date, int, Why) {
	at := func(n int) token {
		if n < len(list) {
			return list[n]
		}
		return token{}
	}
	if m, ok := c.words.months[at(0).text]; ok && c.words.monthFirst {
		if d, ok := ordinal(at(1)); ok {
			return c.of(d, m, list, 2)
		}
		return 0, 0, ""
	}
	d, ok := ordinal(at(0))
	if !ok {
		return 0, 0, ""
	}
	if len(at(0).text) == 4 && at(1).is("-") && at(2).number() && at(3).is("-") && at(4).number() {
		day, err := civil.Parse(at(0).text + "-" + at(2).text + "-" + at(4).text)
		if err != nil {
			return 0, 5, BadDay
		}
		return day, 5, ""
	}
	if at(1).is("/") && at(2).number() {
		m := small(at(2))
		switch {
		case c.words.dayFirst || d > 12 || d == m:
		case m > 12:
			d, m = m, d
		default:
			return 0, 3, UnclearDay
		}
		return c.of(d, m, list, 3)
	}
	n := 1
	if at(n).is(".") {
		n++
	}
	if m, ok := c.words.months[at(n).text]; ok {
		return c.of(d, m, list, n+1)
	}
	if n == 2 && at(2).glued && at(2).number() && at(2).text != "" {
		n = 3
		if at(3).is(".") && at(3).glued {
			n = 4
		}
		if m := small(at(2)); n == 4 || m >= 1 && m <= 12 && !at(3).is("+") {
			return c.of(d, m, list, n)
		}
	}
	return 0, 0, ""
}

// of makes the day d.m. and takes a year that follows at list[n]; without one
// it is the year that brings the day nearest to the day of writing.
func (c calendar) of(d, m int, list []token, n int) (civil.Date, int, Why) {
	if n < len(list) && len(list[n].text) == 4 && list[n].number() {
		y := small(list[n])
		n++
		if n < len(list) && list[n].is(".") && list[n].glued {
			n++
		}
		day, ok := exact(y, m, d)
		if !ok {
			return 0, n, BadDay
		}
		return day, n, ""
	}
	best := civil.Date(0)
	for y := c.written.Year() - 1; y <= c.written.Year()+1; y++ {
		if day, ok := exact(y, m, d); ok && (best == 0 || apart(day, c.written) < apart(best, c.written)) {
			best = day
		}
	}
	if best == 0 || apart(best, c.written) > 183 { // 29 February of another year
		return 0, n, BadDay
	}
	return best, n, ""
}

// span reads "DAY - DAY", "3-9 May", "until DAY" (from the day of writing) or
// a single DAY.
func (c calendar) span(list []token) (civil.Range, int, Why) {
	if len(list) > 0 && slices.Contains(c.words.runs, list[0].text) {
		last, n, why := c.day(list[1:])
		if n == 0 {
			return civil.Range{}, 0, ""
		}
		return civil.Range{First: c.written, Last: last}, n + 1, why
	}
	first, n, why := c.day(list)
	if why != "" {
		return civil.Range{}, n, why
	}
	short := 0 // the first day's number, where its month follows the second
	if n == 0 && len(list) > 1 && list[0].number() {
		short, n = small(list[0]), 1
		if list[1].is(".") {
			n++
		}
	}
	if n == 0 {
		return civil.Range{}, 0, ""
	}
	if n >= len(list) || !list[n].is("-") && !slices.Contains(c.words.runs, list[n].text) {
		if short > 0 {
			return civil.Range{}, 0, ""
		}
		return civil.Range{First: first, Last: first}, n, ""
	}
	later := c
	if short == 0 {
		later.written = first // "sat - mon": the Monday after that Saturday
	}
	last, more, why := later.day(list[n+1:])
	if more == 0 || why != "" {
		return civil.Range{}, n + 1 + more, orElse(why, UnclearDay)
	}
	if short > 0 {
		if first, _ = exact(last.Year(), int(last.Month()), short); first == 0 {
			return civil.Range{}, n + 1 + more, BadDay
		}
	}
	if last < first {
		return civil.Range{}, n + 1 + more, UnclearDay
	}
	return civil.Range{First: first, Last: last}, n + 1 + more, ""
}

func orElse(why, other Why) Why {
	if why != "" {
		return why
	}
	return other
}

// exact gives a day that exists.
func exact(y, m, d int) (civil.Date, bool) {
	if y < 1 || m < 1 || m > 12 || d < 1 || d > 31 {
		return 0, false
	}
	day := civil.Of(y, time.Month(m), d)
	return day, day.Day() == d
}

func apart(a, b civil.Date) civil.Date {
	if a < b {
		return b - a
	}
	return a - b
}

// ordinal reads 4 and 4th.
func ordinal(t token) (int, bool) {
	text := t.text
	for _, end := range []string{"st", "nd", "rd", "th"} {
		text = strings.TrimSuffix(text, end)
	}
	if text == "" || len(text) > 4 {
		return 0, false
	}
	n, err := strconv.Atoi(text)
	return n, err == nil && n >= 0
}

// small gives the number of a token, or -1 where it has more than four figures.
func small(t token) int {
	if len(t.text) > 4 {
		return -1
	}
	n, err := strconv.Atoi(t.text)
	if err != nil {
		return -1
	}
	return n
}

// join gives tokens that stand apart as one phrase; glued ones give none.
func join(list []token) string {
	if len(list) == 1 {
		return list[0].text
	}
	texts := make([]string, len(list))
	for n, t := range list {
		if n > 0 && t.glued {
			return ""
		}
		texts[n] = t.text
	}
	return strings.Join(texts, " ")
}
