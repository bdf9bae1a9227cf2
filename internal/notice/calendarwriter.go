package notice

import (
	"strings"
	"unicode/utf8"
)

// icsWriter writes the content lines of a calendar (RFC 5545 section 3.1).
type icsWriter struct{ strings.Builder }

// icsWidth is the most octets that a line may have, its break not counted.
const icsWidth = 75

// line writes one content line, folded between characters, never within one:
// some programs drop a whole calendar for half a letter.
func (w *icsWriter) line(name, value string) {
	rest, room := name+":"+value, icsWidth
	for len(rest) > room {
		at := room
		for at > 0 && !utf8.RuneStart(rest[at]) {
			at--
		}
		w.WriteString(rest[:at] + "\r\n ")
		rest, room = rest[at:], icsWidth-1 // the blank counts
	}
	w.WriteString(rest + "\r\n")
}

// icsEscape is TEXT's escapes (section 3.3.11).
var icsEscape = strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`)

// text writes a text of one or more lines. What stands in names ends no line
// and begins no property.
func (w *icsWriter) text(name string, lines ...string) {
	escaped := make([]string, len(lines))
	for i, l := range lines {
		escaped[i] = icsEscape.Replace(oneLine(l))
	}
	w.line(name, strings.Join(escaped, `\n`))
}

// nothing fills a calendar without calls, which must hold something (section
// 3.6): the zone that its stamps are in.
func (w *icsWriter) nothing() {
	for _, l := range [][2]string{
		{"BEGIN", "VTIMEZONE"}, {"TZID", "UTC"}, {"BEGIN", "STANDARD"}, {"DTSTART", "19700101T000000"},
		{"TZOFFSETFROM", "+0000"}, {"TZOFFSETTO", "+0000"}, {"END", "STANDARD"}, {"END", "VTIMEZONE"},
	} {
		w.line(l[0], l[1])
	}
}
