package notice

import "time"

// Due is one thing that is owed to somebody and not yet in a letter.
type Due struct {
	ID     int64
	Person string // code; empty: nobody is left to ask
	Passed bool   // it comes from somebody who didn't or couldn't answer
	Item   Item
	Season int
	At     time.Time // when it was decided
	Thread []string  // letters to this person about the same call, oldest first
}

// Envelope is a parcel, and which of the due things are in it.
type Envelope struct {
	Parcel
	Owed []int64
}
