package cli

import (
	"fmt"

	"budcall/internal/civil"
)

// seasonBar shows how far a season is that is played.
type seasonBar struct{ bar }

// day draws the bar.
func (b *seasonBar) day(day, first, last civil.Date, mails int) {
	b.show(int(day-first+1), int(last-first+1), fmt.Sprintf("%s, %d mails", day, mails))
}
