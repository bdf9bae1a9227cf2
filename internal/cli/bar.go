package cli

import (
	"fmt"
	"io"
	"strings"
	"time"
)

// bar shows on a terminal how far a command is.
type bar struct {
	out   io.Writer // nil: none
	drawn time.Time
	wide  int // letters drawn last
}

const (
	barWidth     = 40
	drawBarEvery = 100 * time.Millisecond
)

// barFor gives a bar on w if that is a terminal, else one that is never drawn.
func barFor(w io.Writer) bar {
	if !terminal(w) {
		return bar{}
	}
	return bar{out: w}
}

// show draws the bar, if it wasn't drawn just now or all is done, with a text
// behind it.
func (b *bar) show(done, total int, text string) {
	if b.out == nil || time.Since(b.drawn) < drawBarEvery && done < total {
		return
	}
	b.drawn = time.Now()
	full := done * barWidth / max(1, total)
	b.draw(fmt.Sprintf("[%s%s] %s", strings.Repeat("=", full), strings.Repeat(" ", barWidth-full), text))
}

func (b *bar) draw(line string) {
	fmt.Fprintf(b.out, "\r%-*s", b.wide, line) // blanks over what was longer
	b.wide = len(line)
}

// end takes the bar away.
func (b *bar) end() {
	if b.out != nil && b.wide > 0 {
		b.draw("")
		fmt.Fprint(b.out, "\r")
	}
}
