package notice

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// lineWidth is the longest line of the text part, in characters: what RFC 5322
// section 2.1.1 asks for. Only a link may be longer, since it must stay whole.
const lineWidth = 76

// text gives the plain text of a letter, lines ended by "\n".
func text(c content) string {
	var t texter
	for _, b := range c.Blocks {
		t.block(b)
		t.prev = b.Shape
	}
	return strings.TrimLeft(t.String(), "\n")
}

// texter lays blocks out as text.
type texter struct {
	strings.Builder
	titled bool  // a title is written already, so that the next one is set apart
	prev   shape // of the block before
}

func (t *texter) block(b block) {
	switch b.Shape {
	case frame, foot, note:
		t.gap()
		t.lines(b.Lines, "")
	case label:
		if t.titled {
			t.rule()
		}
		t.gap()
		t.lines(b.Lines, "")
	case title:
		if t.prev != label {
			t.gap()
		}
		t.title(b.Lines[0])
	case button:
		t.gap()
		t.lines([]string{b.Head + ":"}, "")
		t.WriteString("  " + b.URL + "\n")
		t.lines(b.Lines, "  ")
	case steps:
		t.head(b.Head)
		for n, s := range b.Lines {
			t.point(s, strconv.Itoa(n+1)+". ")
		}
	case list:
		t.head(b.Head)
		for _, s := range b.Lines {
			t.point(s, "- ")
		}
	case mails:
		t.mails(b)
	default:
		t.head(b.Head)
		t.lines(b.Lines, "  ")
		for _, p := range b.People {
			t.point(strings.TrimSpace(p.Said+": "+p.Phone), "- ")
		}
	}
}

func (t *texter) gap() { t.WriteString("\n") }

func (t *texter) rule() { t.WriteString("\n" + strings.Repeat("* ", 20) + "*\n") }

// title is underlined by hyphens: equals signs would be three characters each
// to somebody who reads the raw mail.
func (t *texter) title(s string) {
	t.titled = true
	t.lines([]string{s}, "")
	t.WriteString(strings.Repeat("-", min(utf8.RuneCountInString(s), lineWidth)) + "\n")
}

func (t *texter) head(s string) {
	t.gap()
	t.lines([]string{s}, "")
}

func (t *texter) lines(lines []string, indent string) {
	for _, s := range lines {
		t.wrapped(s, indent, indent)
	}
}

// point is a line of a list, its further lines indented under the first.
func (t *texter) point(s, mark string) {
	t.wrapped(s, "  "+mark, strings.Repeat(" ", 2+len(mark)))
}

// wrapped writes s in lines no longer than lineWidth where it has spaces, and
// cuts longer words that are no links.
func (t *texter) wrapped(s, first, rest string) {
	line, indent := first, first
	for _, word := range strings.Fields(s) {
		for _, piece := range pieces(word, lineWidth-len(rest)) {
			full := utf8.RuneCountInString(line)+utf8.RuneCountInString(piece)+1 > lineWidth
			if full && line != indent {
				t.WriteString(line + "\n")
				line, indent = rest, rest
			}
			if line != indent {
				line += " "
			}
			line += piece
		}
	}
	t.WriteString(strings.TrimRight(line, " ") + "\n")
}

// pieces cuts a word that is longer than a line.
func pieces(word string, width int) []string {
	r := []rune(word)
	if len(r) <= width || strings.Contains(word, "://") {
		return []string{word}
	}
	var cut []string
	for len(r) > width {
		cut = append(cut, string(r[:width]))
		r = r[width:]
	}
	return append(cut, string(r))
}
