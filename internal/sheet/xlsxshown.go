package sheet

import (
	"regexp"
	"strings"
)

// shown is how a workbook shows a number.
type shown int

const (
	numberShown shown = iota
	dayShown
)

// shown gives how a cell shows its number, which only its style says.
func (w *workbook) shown(sheet, at string) (shown, error) {
	id, err := w.file.GetCellStyle(sheet, at)
	if err != nil {
		return numberShown, err
	}
	if s, ok := w.shows[id]; ok {
		return s, nil
	}
	style, err := w.file.GetStyle(id)
	if err != nil {
		return numberShown, err
	}
	shows := numberShown
	if builtInDay(style.NumFmt) || style.CustomNumFmt != nil && showsDay(*style.CustomNumFmt) {
		shows = dayShown
	}
	w.shows[id] = shows
	return shows, nil
}

// builtInDay reports whether a number format without a text of its own shows a
// day (ECMA-376 part 1, 18.8.30: 14 to 17 and 22, and those of East Asia).
func builtInDay(id int) bool {
	return id >= 14 && id <= 17 || id == 22 || id >= 27 && id <= 36 || id >= 50 && id <= 58
}

// notLetters are the parts of a number format that are no codes: quoted text,
// brackets (colours, locales), escaped characters.
var notLetters = regexp.MustCompile(`"[^"]*"|\[[^\]]*\]|\\.|_.|\*.`)

// showsDay reports whether a number format shows a year or a day of the month.
func showsDay(format string) bool {
	format, _, _ = strings.Cut(format, ";")
	letters := strings.ToLower(notLetters.ReplaceAllString(format, ""))
	return !strings.Contains(letters, "general") && strings.ContainsAny(letters, "yd")
}
