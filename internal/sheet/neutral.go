package sheet

import (
	"strings"
	"unicode/utf8"
)

// runs are the characters with which a cell begins that some spreadsheet runs
// as a formula; the wide ones are what East Asian keyboards type.
const runs = "=+-@\t\r＝＋－＠"

// formulaStart gives the character for which a spreadsheet would take a text
// for a formula.
func formulaStart(text string) (string, bool) {
	r, n := utf8.DecodeRuneInString(text)
	if n == 0 || !strings.ContainsRune(runs, r) {
		return "", false
	}
	return text[:n], true
}

// neutral makes a text harmless: an apostrophe goes before what would run, and
// before an apostrophe that restored would otherwise take away.
func neutral(text string) string {
	if marked(text) {
		return "'" + text
	}
	return text
}

// restored is neutral's way back; a text that neutral can't have written stays
// as it is.
func restored(text string) string {
	if rest, ok := strings.CutPrefix(text, "'"); ok && marked(rest) {
		return rest
	}
	return text
}

func marked(text string) bool {
	_, formula := formulaStart(text)
	return formula || strings.HasPrefix(text, "'")
}
