package cli

import (
	"fmt"

	"budcall/internal/civil"
)

// replayBar shows how far a season is, on a terminal.
type replayBar struct {
	bar
	first, last civil.Date
}

// day draws the bar.
func (b *replayBar) day(day civil.Date, mails int) {
	b.show(int(day-b.first+1), int(b.last-b.first+1), fmt.Sprintf("%s, %d mails", day, mails))
}
