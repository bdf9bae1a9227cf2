// Package report turns what people send back (replies by mail) into
// reports and answers: bytes in, values out, nothing else touched.
//
// Read takes a mail as it arrived. A mail passes four sieves: is it ours to
// read (size, programs that answer, lists, returned mails); who speaks (the
// token of the mail answered, or an address we know); which of its text was
// written by the sender (not quoted, forwarded or signed); and what each line
// says. A line counts as a whole or not at all: a word outside the vocabulary
// leaves the line unread, to be quoted back, so nothing is ever guessed.
package report

import (
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/trail"
)

// Person is somebody we know.
type Person struct {
	Code     string
	Name     string         // in full, to tell a signature
	Language string         // en, fi, sv: whose words are read
	Zone     *time.Location // for "today"; nil: the offset of the mail's own Date
	Sites    []string       // codes of the sites that this person may report on unasked
}

// Call is one thing that a mail of ours asked for.
type Call struct {
	Site string
	Task call.Task
}

// Mail is a mail that we sent.
type Mail struct {
	To    Person
	Calls []Call // at least one; a mail may ask for several things at several sites
	Sent  time.Time
}

// Site is a site with its trees, the gone ones too.
type Site struct {
	Code   string
	Trees  []trail.Tree
	Bagged map[string]bool // short names of trees with bags reported on; may be nil
}

// Known answers what only the memory knows. Each function reports whether
// there is such a thing; none may be nil.
type Known struct {
	// Mail finds a mail of ours by its token: the part before the @ of its
	// Message-ID, or what stood in brackets in a subject. Tokens are opaque
	// here; checking that one is genuine is up to this function.
	Mail func(token string) (Mail, bool)
	// Person finds somebody by mail address, given in lower case.
	Person func(address string) (Person, bool)
	// Site finds a site by its code.
	Site func(code string) (Site, bool)
}

// Options are the settings of Read. Zero values take the defaults named.
type Options struct {
	Received      time.Time     // when the mail reached us
	Own           []string      // our own addresses: a mail from one of them is a loop
	NullSender    bool          // the envelope had no sender (MAIL FROM:<>), as of bounces
	MaxBytes      int           // a larger mail is refused; 25 MiB
	MaxPhotoBytes int           // a larger photo is kept out; 12 MiB
	TokenFor      time.Duration // an answer to an older mail is held for a tap; 120 days
	Language      string        // of people we don't know; en
}

const (
	defaultMaxBytes      = 25 << 20
	defaultMaxPhotoBytes = 12 << 20
	defaultTokenFor      = 120 * 24 * time.Hour // our assumption: longer than any task of a season stands open
)

func (o Options) withDefaults() Options {
	if o.MaxBytes <= 0 {
		o.MaxBytes = defaultMaxBytes
	}
	if o.MaxPhotoBytes <= 0 {
		o.MaxPhotoBytes = defaultMaxPhotoBytes
	}
	if o.TokenFor <= 0 {
		o.TokenFor = defaultTokenFor
	}
	if o.Language == "" {
		o.Language = "en"
	}
	return o
}

// Outcome is what becomes of a mail.
type Outcome string

// The outcomes; each mail has one. "Held" means that Reports is what would be
// stored once somebody agrees.
const (
	Stored             Outcome = "stored"
	PartStored         Outcome = "part stored" // the rest, or a contradiction, goes to the coordinator
	ToCoordinator      Outcome = "to coordinator"
	HeldForTap         Outcome = "held for a tap"           // the person's known address is asked
	HeldForCoordinator Outcome = "held for the coordinator" // nobody we know
	IgnoredAuto        Outcome = "ignored: auto-reply"
	IgnoredList        Outcome = "ignored: list mail"
	Returned           Outcome = "no answer: bounce"
	Refused            Outcome = "refused: too large"
)

// Standing says how well we know who sent the mail.
type Standing string

// The standings of a sender.
const (
	Addressee Standing = "yes"          // the mail answered went to this person, or no mail is named and the address is known
	Other     Standing = "other person" // known, but the mail answered went to somebody else
	Stranger  Standing = "no"
)

// Line is a line that wasn't understood.
type Line struct {
	Text string // blanks joined, control characters left out, at most 300 characters
	Why  Why
}

// Bounce says what a returned mail means for its address.
type Bounce struct {
	Recipient string // as the report names it; may be empty
	Status    string // RFC 3463 code, 5.1.1; empty where none was given
	Permanent bool   // the address will never work; false: trouble that passes, or unknown
}

// Reading is all that a mail came to.
type Reading struct {
	Outcome   Outcome
	MessageID string // of the mail read, without angle brackets; may be empty
	Token     string // of our mail that it answers; empty: none
	TokenIn   string // In-Reply-To, References, subject, inside the report
	From      string // address as written, in lower case; may be empty
	Sender    Standing
	Person    string // code of the sender; empty for a stranger
	As        string // code of who the reports are attributed to; empty: nobody
	Language  string
	Written   civil.Date     // the day of writing, where the sender is
	Reports   []trail.Report // reports and answers in the order of the lines; without ID
	Unread    []Line
	Photos    []Photo   // without position and other metadata; any photo sends the mail to the coordinator too
	Files     []File    // small text files attached (site settings, tables), for who reads those
	Dropped   []Dropped // attachments that were kept out
	Asks      []Ask     // why the coordinator should look, beyond Unread, Photos and Dropped
	Bounce    Bounce    // of the outcome Returned
}

// Ask is why a person should look at a mail whose lines could be read.
type Ask string

// What the coordinator is asked to look at.
const (
	Contradiction Ask = "contradicting reports"
	Encrypted     Ask = "encrypted"
	Broken        Ask = "broken mail" // cut off, or its parts can't be told apart
	TooNested     Ask = "too deeply nested"
	TooLong       Ask = "too long" // more text, lines or reports than any reply needs; the rest wasn't read
	NoText        Ask = "no text"
	OtherAddress  Ask = "another address" // an answer with our token from an address that we don't know
)

// Why a line wasn't read.
type Why string

// The reasons, for the receipt.
const (
	NotUnderstood Why = "not understood"
	UnknownTree   Why = "no such tree"
	UnclearTree   Why = "tree of which site"
	GoneTree      Why = "tree is gone"
	BadCount      Why = "count out of range"
	NoDay         Why = "no day named"
	BadDay        Why = "no such day"
	UnclearDay    Why = "day unclear"
	PastDay       Why = "day is past"
	FutureDay     Why = "day is still ahead"
	NotThisCall   Why = "doesn't fit what was asked" // taken off or still on? a person asks
	Excluding     Why = "answers exclude each other"
	Hidden        Why = "hidden characters"
)
