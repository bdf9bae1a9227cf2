package chart

import (
	"bytes"
	"fmt"
	"html"
	"strconv"
	"strings"
	"unicode/utf8"
)

// The measures of the picture, in px.
const (
	width     = 980
	left      = 150 // of the time axis
	right     = 960
	charWidth = 6.1 // of the text's size on average, to keep texts apart
	lineStep  = 16
)

// canvas collects the picture.
type canvas struct{ b bytes.Buffer }

// add writes markup; texts and attributes in it must come through clean.
func (c *canvas) add(format string, args ...any) { fmt.Fprintf(&c.b, format+"\n", args...) }

// text writes a text. Its class says how it looks and from where it runs.
func (c *canvas) text(x, y float64, class, s string) {
	c.add(`<text class="%s" x="%s" y="%s">%s</text>`, class, px(x), px(y), clean(s))
}

func (c *canvas) line(class string, x1, y1, x2, y2 float64) {
	c.add(`<line class="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`, class, px(x1), px(y1), px(x2), px(y2))
}

// path writes a line through points, closed or open; fewer than two are nothing.
func (c *canvas) path(class string, points []point, closed bool) {
	if len(points) < 2 {
		return
	}
	var d strings.Builder
	for i, p := range points {
		d.WriteByte("ML"[min(i, 1)])
		d.WriteString(px(p.x) + " " + px(p.y))
	}
	if closed {
		d.WriteByte('Z')
	}
	c.add(`<path class="%s" d="%s"/>`, class, d.String())
}

// point is a place in the picture, in px from its left upper corner.
type point struct{ x, y float64 }

// px writes a measure with at most one decimal.
func px(v float64) string {
	return strings.TrimSuffix(strconv.FormatFloat(v, 'f', 1, 64), ".0")
}

// clean makes a text safe in XML, which has no control characters at all.
func clean(s string) string {
	return html.EscapeString(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == 0xfffe || r == 0xffff {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "�")))
}

// lanes keeps texts of one height apart, each of which has a line down to its
// place: the lowest lane is the first.
type lanes struct{ texts [][]stretch }

// stretch is what a text covers, and where its line runs.
type stretch struct{ from, to, line float64 }

// place gives a lane for a text that begins beside x, and where it begins so
// that it stays within the picture.
func (l *lanes) place(x float64, s string) (lane int, at float64) {
	long := float64(utf8.RuneCountInString(s)) * charWidth
	at = max(left, min(x+4, right-long))
	want := stretch{from: min(x, at), to: at + long + 6, line: x}
	for lane < len(l.texts) && !l.free(lane, want) {
		lane++
	}
	if lane == len(l.texts) {
		l.texts = append(l.texts, nil)
	}
	l.texts[lane] = append(l.texts[lane], want)
	return lane, at
}

// free reports whether a text fits into a lane without covering another text
// or the line of one above, and its own line without crossing one below.
func (l *lanes) free(lane int, want stretch) bool {
	for i, texts := range l.texts {
		for _, s := range texts {
			switch {
			case i == lane && want.from < s.to && s.from < want.to,
				i > lane && want.from < s.line && s.line < want.to,
				i < lane && s.from < want.line && want.line < s.to:
				return false
			}
		}
	}
	return true
}

// clip shortens a text that is longer than the picture is wide.
func clip(s string) string {
	const most = 120
	if letters := []rune(s); len(letters) > most {
		return string(letters[:most]) + "…"
	}
	return s
}

// wrap breaks a text into lines of at most n letters, at blanks.
func wrap(s string, n int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		if line != "" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > n {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}
