package feed

import "strings"

// insideLine is why a last line is not taken that no line break ends: a number
// that is cut off reads as another one, and nothing else would tell.
const insideLine = "the file ends inside this line (fetch it again; if the line is whole, end it with a line break)"

// provedWhole reports whether a last line without a line break is whole in what
// is used of it: it has the fields that other rows have, and something stands
// behind the rightmost field that is used, be it the quote that closes it.
func provedWhole(text string, fields []string, used, usual int) bool {
	return len(fields) >= usual && (len(fields)-1 > used || strings.HasSuffix(strings.TrimSpace(text), `"`))
}

// rowWidth is whether a file's rows are all of one length, in bytes.
type rowWidth struct {
	length, rows int
	varies       bool
}

func (w *rowWidth) see(text string) {
	w.varies = w.varies || w.rows > 0 && len(text) != w.length
	w.length = len(text)
	w.rows++
}

// shorter reports whether a line ends before those of one and the same length
// do.
func (w rowWidth) shorter(text string) bool {
	return w.rows > 1 && !w.varies && len(text) < w.length
}
