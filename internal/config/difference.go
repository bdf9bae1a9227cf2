package config

import (
	"bytes"
	"strings"
)

// Line is a line in which two versions of a file differ.
type Line struct {
	Number int  // from 1: in the newer version, of a line that was taken out in the older
	Out    bool // it was taken out; else it was put in
	Text   string
}

// Difference gives the lines that were taken out and put in between two versions
// of a file, in their order. Of very long files that differ throughout it gives
// all lines out and all lines in.
func Difference(before, after []byte) []Line {
	a, b := linesOf(before), linesOf(after)
	from := 0
	for from < len(a) && from < len(b) && a[from] == b[from] {
		from++
	}
	enda, endb := len(a), len(b)
	for enda > from && endb > from && a[enda-1] == b[endb-1] {
		enda, endb = enda-1, endb-1
	}
	var out []Line
	for _, l := range longestCommon(a[from:enda], b[from:endb]) {
		l.Number += from
		out = append(out, l)
	}
	return out
}

// linesOf gives the lines of a file without their ends.
func linesOf(content []byte) []string {
	text := string(bytes.ReplaceAll(content, []byte("\r\n"), []byte("\n")))
	if text = strings.TrimSuffix(text, "\n"); text == "" {
		return nil
	}
	return strings.Split(text, "\n")
}

// longestTable bounds the table of longestCommon, in cells.
const longestTable = 4_000_000

// longestCommon gives the lines to take out of a and to put in to make b, by the
// longest common subsequence.
func longestCommon(a, b []string) (out []Line) {
	if len(a)*len(b) > longestTable {
		a, out = nil, takenOut(a)
	}
	width := len(b) + 1
	common := make([]int32, (len(a)+1)*width) // of the rests from i and j on
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			if a[i] == b[j] {
				common[i*width+j] = common[(i+1)*width+j+1] + 1
			} else {
				common[i*width+j] = max(common[(i+1)*width+j], common[i*width+j+1])
			}
		}
	}
	i, j := 0, 0
	for i < len(a) || j < len(b) {
		switch {
		case i < len(a) && j < len(b) && a[i] == b[j]:
			i, j = i+1, j+1
		case j == len(b) || i < len(a) && common[(i+1)*width+j] >= common[i*width+j+1]:
			out = append(out, Line{Number: i + 1, Out: true, Text: a[i]})
			i++
		default:
			out = append(out, Line{Number: j + 1, Text: b[j]})
			j++
		}
	}
	return out
}

func takenOut(a []string) (out []Line) {
	for i, text := range a {
		out = append(out, Line{Number: i + 1, Out: true, Text: text})
	}
	return out
}
