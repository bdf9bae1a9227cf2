package chart

import (
	"budcall/internal/call"
	"budcall/internal/words"
)

const (
	rowHeight = 24
	barHeight = 14
)

// looks is how the days of a standing are filled.
var looks = map[call.Standing]string{
	call.Ahead:     "ahead",
	call.Go:        "go",
	call.Hurry:     "hurry",
	call.LookFirst: "look",
	call.TooLate:   "late",
	call.Done:      "done",
	call.NotNeeded: "done",
}

// legend is the standings in the order in which they are explained.
var legend = []call.Standing{call.Ahead, call.Go, call.Hurry, call.LookFirst, call.TooLate, call.Done, call.NotNeeded}

// calls draws the days of each task in a row of its own, those told later over
// those told earlier, and gives where the panel ends.
func (f frame) calls(spans []Span, y float64) float64 {
	y = f.head(words.ChartCalls, y)
	rows := map[call.Task][]Span{}
	used := map[call.Standing]bool{}
	for _, s := range spans {
		if s.Days.Len() > 0 && looks[s.Standing] != "" {
			rows[s.Task] = append(rows[s.Task], s)
			used[s.Standing] = true
		}
	}
	if len(rows) == 0 {
		return f.nothing(y)
	}
	bottom := y
	for _, task := range call.Tasks {
		if len(rows[task]) > 0 {
			bottom += rowHeight
		}
	}
	f.axis.grid(f.canvas, f.cat, y, bottom)
	at := y
	for _, task := range call.Tasks {
		if len(rows[task]) == 0 {
			continue
		}
		f.text(left-8, at+rowHeight/2+4, "end", f.cat.Task(task))
		for _, s := range rows[task] {
			x := f.x(s.Days.First)
			f.bar(s.Standing, x, at+(rowHeight-barHeight)/2, f.x(s.Days.Last+1)-x)
		}
		at += rowHeight
	}
	return f.legend(used, bottom+24)
}

func (f frame) bar(s call.Standing, x, y, w float64) {
	f.add(`<rect class="days %s" x="%s" y="%s" width="%s" height="%d"/>`, looks[s], px(x), px(y), px(w), barHeight)
}

// legend says how the standings that occur are filled.
func (f frame) legend(used map[call.Standing]bool, y float64) float64 {
	x := float64(left)
	f.text(left-8, y+11, "small end", f.cat.Text(words.ChartStandings))
	for _, s := range legend {
		if !used[s] {
			continue
		}
		word := f.cat.Standing(s)
		f.bar(s, x, y, 22)
		f.text(x+28, y+11, "small", word)
		x += 28 + float64(len([]rune(word)))*charWidth + 18
	}
	return y + 26
}
