package chart

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"budcall/internal/civil"
	"budcall/internal/words"
)

// noteLetters is how many letters of a note fit on a line.
const noteLetters = 128

// reports draws a mark for each day on which something was reported, numbered,
// and writes below what it was. It gives where the panel ends.
func (f frame) reports(marks []Mark, y float64) float64 {
	y = f.head(words.ChartReports, y)
	days, said := byDay(marks)
	if len(days) == 0 {
		return f.nothing(y)
	}
	var l lanes
	lane := make([]int, len(days))
	for i, d := range days {
		lane[i], _ = l.place(f.noon(d), strconv.Itoa(i+1))
	}
	bottom := y + float64(len(l.texts))*lineStep + 14
	f.axis.grid(f.canvas, f.cat, y, bottom)
	for i, d := range days {
		x := f.noon(d)
		base := bottom - 10 - float64(lane[i])*lineStep
		f.line("leader", x, base+2, x, bottom)
		f.text(x, base, "mid", strconv.Itoa(i+1))
		f.add(`<circle class="mark" cx="%s" cy="%s" r="3"/>`, px(x), px(bottom))
	}
	y = bottom + 22
	for i, d := range days {
		for j, line := range wrap(f.cat.Text(words.ReportLine, words.Args{"day": f.cat.Day(d), "what": strings.Join(said[d], "; ")}), noteLetters) {
			y += lineStep
			if j == 0 {
				f.text(left-8, y, "end", strconv.Itoa(i+1))
			}
			f.text(left, y, "note", line)
		}
	}
	return y + 20
}

// byDay gives the days on which something was reported, in order, and what,
// in the order given.
func byDay(marks []Mark) (days []civil.Date, said map[civil.Date][]string) {
	said = map[civil.Date][]string{}
	for _, m := range marks {
		if m.Date == 0 {
			continue
		}
		if len(said[m.Date]) == 0 {
			days = append(days, m.Date)
		}
		said[m.Date] = append(said[m.Date], m.Text)
	}
	slices.SortFunc(days, func(a, b civil.Date) int { return cmp.Compare(a, b) })
	return days, said
}
