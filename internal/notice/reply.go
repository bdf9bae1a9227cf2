package notice

import (
	"budcall/internal/civil"
	"budcall/internal/report"
	"budcall/internal/trail"
	"budcall/internal/words"
	"slices"
)

// The kinds of letter about a mail that came in.
const (
	Receipt Kind = "receipt" // to who sent it: what was understood and what wasn't
	Tap     Kind = "tap"     // to the person it seems to be from: is it yours?
	Unread  Kind = "unread"  // to the coordinator: what nobody but a person can read, with the mail
)

// Reply is what became of a mail that came in.
type Reply struct {
	Arrived  int64          `json:"arrived"` // its number in the memory
	For      Kind           `json:"for"`     // Receipt, Tap or Unread
	Outcome  string         `json:"outcome"`
	Sender   string         `json:"sender,omitempty"` // name of a person we know; for the coordinator also the address of one we don't
	Day      civil.Date     `json:"day"`              // of writing
	Reports  []trail.Report `json:"reports,omitempty"`
	Unread   []UnreadLine   `json:"unread,omitempty"`
	Photos   int            `json:"photos,omitempty"`
	KeptOut  []KeptOut      `json:"kept_out,omitempty"`
	Asks     []string       `json:"asks,omitempty"` // why a person should look, beyond that
	TooLarge bool           `json:"too_large,omitempty"`
	Passed   bool           `json:"passed,omitempty"`  // the coordinator got it too
	As       string         `json:"as,omitempty"`      // name of the person for whom a mail of an unknown address counts
	Link     string         `json:"link,omitempty"`    // signed, opens the page with the button
	Expires  civil.Date     `json:"expires,omitempty"` // last day on which the link works
	Mail     []byte         `json:"-"`                 // the mail itself, of Unread: attached when the letter is sent
}

// UnreadLine is a line that wasn't understood, and why.
type UnreadLine struct {
	Text string `json:"text"`
	Why  string `json:"why"`
}

// KeptOut is an attachment that was left out, and why.
type KeptOut struct {
	Name string `json:"name"`
	Why  string `json:"why"`
}

// Kind is the kind of letter that tells it.
func (r Reply) Kind() Kind { return r.For }

// reply is the body of a letter about a mail that came in.
func (w writer) reply() []block {
	r := *w.Reply
	blocks := []block{{Shape: title, Lines: []string{w.subject()}}}
	names := words.Args{"name": w.ToName, "sender": r.Sender, "as": r.As, "day": w.c.DayYear(r.Day)}
	blocks = append(blocks, block{Shape: note, Lines: []string{w.c.Text(w.intro(), names)}})
	var said []string
	for _, rep := range r.Reports {
		said = append(said, w.c.Said(rep))
	}
	head := words.ReplyUnderstood
	if r.For == Tap || r.Link != "" {
		head = words.ReplyWouldStore
	}
	blocks = appendList(blocks, w.c.Text(head), said)
	var unread []string
	for _, l := range r.Unread {
		unread = append(unread, w.c.Text(words.ReplyLine, words.Args{"text": l.Text, "why": w.c.Unread(l.Why)}))
	}
	blocks = appendList(blocks, w.c.Text(words.ReplyUnread), unread)
	var keptOut []string
	for _, k := range r.KeptOut {
		keptOut = append(keptOut, w.c.Text(words.ReplyKeptOutFile, words.Args{"name": k.Name, "why": w.c.KeptOut(k.Why)}))
	}
	blocks = appendList(blocks, w.c.Text(words.ReplyDropped), keptOut)
	var asks []string
	for _, a := range r.Asks {
		asks = append(asks, w.c.Ask(a))
	}
	if r.For == Unread {
		blocks = appendList(blocks, w.c.Text(words.ReplyAsks), asks)
	}
	if r.Photos > 0 {
		blocks = append(blocks, block{Shape: note, Lines: []string{w.c.Count(words.ReplyPhotos, r.Photos)}})
	}
	if r.Link != "" {
		blocks = append(blocks, block{
			Shape: button, Head: w.c.Text(words.ReplyButton), URL: r.Link,
			Lines: []string{w.c.Text(words.ReplyButtonUntil, words.Args{"day": w.c.DayYear(r.Expires)})},
		})
	}
	if r.For == Receipt && slices.Contains(r.Asks, string(report.Contradiction)) {
		blocks = append(blocks, block{Shape: note, Lines: []string{w.c.Ask(string(report.Contradiction))}})
	}
	if r.Passed && r.For == Receipt {
		blocks = append(blocks, block{Shape: note, Lines: []string{w.c.Text(words.ReplyPassed)}})
	}
	if r.For == Receipt {
		blocks = append(blocks, block{Shape: note, Lines: []string{w.c.Text(words.ReplyCorrect)}})
	}
	if w.Coordinator.Name != "" && w.Coordinator.Name != w.ToName {
		blocks = append(blocks, block{Shape: phones, Head: w.c.Text(words.FactPhone), People: []person{w.person(w.Coordinator)}})
	}
	return blocks
}

func appendList(blocks []block, head string, lines []string) []block {
	if len(lines) == 0 {
		return blocks
	}
	return append(blocks, block{Shape: list, Head: head, Lines: lines})
}

// intro is the sentence that such a letter begins with.
func (w writer) intro() words.Key {
	r := w.Reply
	switch {
	case r.TooLarge:
		return words.ReplyTooLarge
	case r.For == Tap:
		return words.ReplyTap
	case r.For == Unread && r.Sender == "" && len(r.Reports) > 0 && r.Link == "":
		return words.ReplyFromNobodyFor
	case r.For == Unread && r.Sender == "":
		return words.ReplyFromNobody
	case r.For == Unread:
		return words.ReplyToCoordinator
	case len(r.Reports) == 0:
		return words.ReplyNothing
	}
	return words.ReplyThanks
}
