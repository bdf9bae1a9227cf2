package demo

import (
	"fmt"
	"io"
	"strings"
	"time"

	"budcall/internal/civil"
)

// progress is the bar that shows how far a season is, on a terminal.
type progress struct {
	out   io.Writer // nil: none
	drawn time.Time
	wide  int // letters drawn last
}

const (
	barWidth  = 40
	drawEvery = 100 * time.Millisecond
)

// show draws the bar, if it wasn't drawn just now.
func (p *progress) show(now, first, last civil.Date, mails int) {
	if p.out == nil || time.Since(p.drawn) < drawEvery {
		return
	}
	p.drawn = time.Now()
	done := int(now-first) * barWidth / int(last-first)
	done = max(0, min(done, barWidth))
	p.draw(fmt.Sprintf("[%s%s] %2d %s, %d mails", strings.Repeat("=", done), strings.Repeat(" ", barWidth-done), now.Day(), now.Month().String()[:3], mails))
}

func (p *progress) draw(line string) {
	fmt.Fprintf(p.out, "\r%-*s", p.wide, line) // blanks over what was longer
	p.wide = len(line)
}

// end takes the bar away.
func (p *progress) end() {
	if p.out == nil || p.wide == 0 {
		return
	}
	p.draw("")
	fmt.Fprint(p.out, "\r")
}
