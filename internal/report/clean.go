package report

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
	"golang.org/x/text/width"
)

// tidy makes a line readable without changing what it says: full-width forms
// become plain ones, letters are composed (NFC), invisible joiners go, every
// kind of blank and of apostrophe becomes one, marks that can't turn the
// meaning are dropped. It reports false where a control character or a
// direction override makes the line say one thing and show another.
//
// Only width is folded, not all of NFKC: a superscript 2 must not become a
// digit of a count.
func tidy(line string) (string, bool) {
	line = strings.TrimRight(line, "\x00\a \t\r\n")
	bad := false
	mapped := strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || unicode.Is(unicode.Zs, r):
			return ' '
		case unicode.IsControl(r) || r == unicode.ReplacementChar || turnsDirection(r):
			bad = true
			return r
		case unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Variation_Selector, r) || harmless(r):
			return -1
		case strings.ContainsRune("‘’ʼ′`´", r):
			return '\''
		case strings.ContainsRune("“”„«»", r):
			return '"'
		case strings.ContainsRune("‐‑‒–—−", r):
			return '-'
		}
		return r
	}, line)
	folded := norm.NFC.String(width.Fold.String(mapped))
	return strings.TrimSpace(strings.ReplaceAll(folded, "\u3000", " ")), !bad
}

// turnsDirection tells the characters that show text in another order than
// it is written in.
func turnsDirection(r rune) bool {
	return r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
}

// harmless tells marks that can't turn the meaning of a line: pleased faces,
// raised thumbs, ticks, plants. The list is closed: a cross, a thumb down or a
// question mark in a picture must leave the line unread.
func harmless(r rune) bool {
	switch {
	case r >= 0x1f600 && r <= 0x1f60f, // pleased faces
		r >= 0x1f330 && r <= 0x1f343, // trees, flowers, leaves
		r >= 0x1f3fb && r <= 0x1f3ff, // skin tones
		r >= 0x1f493 && r <= 0x1f49f, // hearts, whole ones
		strings.ContainsRune("👍👌🙏💪🎉👏🙂✅✔☑☀🌞❤😊", r): // said yes, thanks, done
		return true
	}
	return false
}

// onlyMarks reports whether a line is made of harmless marks and blanks alone.
func onlyMarks(line string) bool {
	seen := false
	for _, r := range line {
		if harmless(r) {
			seen = true
		} else if !unicode.IsSpace(r) && !unicode.Is(unicode.Cf, r) && !unicode.Is(unicode.Variation_Selector, r) {
			return false
		}
	}
	return seen
}

// longestQuote is how many characters of an unread line are kept.
const longestQuote = 300

// quoted gives a line as it is quoted back: blanks joined, control characters
// left out, NFC, cut.
func quoted(line string) string {
	line = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) && r != '\t' {
			return -1
		}
		return r
	}, line)
	return cut(norm.NFC.String(strings.Join(strings.Fields(line), " ")), longestQuote)
}

// cut gives the first n characters of s and … where there were more.
func cut(s string, n int) string {
	count := 0
	for at := range s {
		if count == n {
			return s[:at] + "…"
		}
		count++
	}
	return s
}
