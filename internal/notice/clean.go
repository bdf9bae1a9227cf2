package notice

import (
	"strings"
	"unicode"
)

// clean makes everything that a letter says printable: whatever stands in
// names and messages, no line break, control character, invisible direction
// mark or broken UTF-8 reaches a mail from there.
func clean(c content) content {
	c.Subject = oneLine(c.Subject)
	for n := range c.Blocks {
		b := &c.Blocks[n]
		b.Head = oneLine(b.Head)
		lines := make([]string, len(b.Lines))
		for k, s := range b.Lines {
			lines[k] = oneLine(s)
		}
		people := make([]person, len(b.People))
		for k, p := range b.People {
			people[k] = person{Said: oneLine(p.Said), Phone: oneLine(p.Phone)}
		}
		links := make([]mailLink, len(b.Links))
		for k, l := range b.Links {
			links[k] = mailLink{Said: oneLine(l.Said), URL: oneLine(l.URL)}
		}
		b.Links = links
		b.Lines, b.People, b.URL = lines, people, oneLine(b.URL)
	}
	return c
}

// oneLine gives s as one line of printable text.
func oneLine(s string) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\u00a0':
			return r
		case unicode.IsSpace(r) || unicode.IsControl(r):
			return ' '
		case unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Zl, r) || unicode.Is(unicode.Zp, r):
			return -1
		}
		return r
	}, s)
	return strings.TrimSpace(s)
}
