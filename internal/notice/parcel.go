package notice

import (
	"encoding/json"
	"time"
)

// Parcel is a letter on its way, by mail or to a webhook.
//
// Its states: waiting (to be sent), taken (a process is sending it), dotted
// (the end of the message may have been sent), sent, refused (for good), given
// up (its time is over). Delivery is at least once: a parcel found dotted
// after a crash is sent again under the same ID, and counted as doubtful. While
// sending is held a parcel is held, and then waits or is dropped.
type Parcel struct {
	ID        string // left part of the Message-ID, or the webhook-id
	Channel   Channel
	Target    string          // code of the person, or name of the webhook
	Kind      string          // of the letter, or type of the event
	Content   json.RawMessage // a Letter, or the bytes of the event
	WrittenAt time.Time
	NotBefore time.Time // it is sent from then on; zero: at once
	ExpiresAt time.Time // after that it is given up
	Attempts  int       // this one included
	Doubtful  int       // times it may have arrived without our knowing
}

// Channel is how a parcel travels.
type Channel string

// The channels.
const (
	ByMail    Channel = "mail"
	ByWebhook Channel = "webhook"
)

// State is how a parcel stands.
type State string

// The states of a parcel.
const (
	Waiting State = "waiting"
	Taken   State = "taken"
	Dotted  State = "dotted"
	Sent    State = "sent"
	Refused State = "refused"
	GivenUp State = "given up"
	Held    State = "held"    // until somebody has looked at what is owed
	Dropped State = "dropped" // by whoever looked
)

// Settlement is how an attempt to send a parcel ended.
type Settlement struct {
	State   State     // Sent, Refused, GivenUp, or Waiting for another attempt
	At      time.Time // the program's time
	NextTry time.Time // of Waiting
	RelayID string    // the relay's own id of it
	Error   string    // without personal data
}
