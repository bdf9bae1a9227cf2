package report

import (
	"net/mail"
	"regexp"
	"slices"
	"strings"
	"time"

	"budcall/internal/civil"
)

// identity is who wrote a mail, and in answer to what.
type identity struct {
	known    Known
	options  Options
	header   header
	address  string
	shown    string // the name beside the address
	sender   *Person
	mail     *Mail // answered; nil: none that we sent
	token    string
	tokenIn  string
	language string
}

func identify(h header, k Known, o Options) identity {
	id := identity{known: k, options: o, header: h}
	id.address, id.shown = h.address()
	if id.address != "" && !id.own() {
		if p, ok := k.Person(id.address); ok {
			id.sender = &p
		}
	}
	for _, in := range []string{"In-Reply-To", "References"} {
		list := ids(h.get(strings.ToLower(in)))
		slices.Reverse(list) // the last of References is the mail answered
		id.find(list, in)
	}
	id.find(bracketed(h.words("subject")), "subject")
	id.speak()
	return id
}

// find looks tokens up until one is known.
func (id *identity) find(list []string, in string) {
	for _, text := range list {
		if id.mail != nil {
			return
		}
		token, _, _ := strings.Cut(text, "@")
		if token == "" {
			continue
		}
		if m, ok := id.known.Mail(token); ok {
			id.mail, id.token, id.tokenIn = &m, token, in
		}
	}
	id.speak()
}

// speak settles the language: the sender's, else of who got the mail answered.
func (id *identity) speak() {
	switch {
	case id.sender != nil && id.sender.Language != "":
		id.language = id.sender.Language
	case id.mail != nil && id.mail.To.Language != "":
		id.language = id.mail.To.Language
	default:
		id.language = id.options.Language
	}
}

func (id *identity) own() bool {
	return slices.ContainsFunc(id.options.Own, func(own string) bool { return strings.EqualFold(own, id.address) })
}

// standing says how well we know the sender.
func (id *identity) standing() Standing {
	switch {
	case id.sender == nil:
		return Stranger
	case id.mail != nil && id.mail.To.Code != id.sender.Code:
		return Other
	}
	return Addressee
}

// as is who the reports are attributed to.
func (id *identity) as() Person {
	switch {
	case id.sender != nil:
		return *id.sender
	case id.mail != nil:
		return id.mail.To
	}
	return Person{}
}

// stale reports whether the mail answered is too old for its token to speak.
func (id *identity) stale() bool {
	return id.mail != nil && id.options.Received.Sub(id.mail.Sent) > id.options.TokenFor
}

// clockSlack is how far ahead a sender's clock may be (our assumption).
const clockSlack = 12 * time.Hour

// mostQueued is how long a phone may have queued a mail whose start we don't
// know (our assumption).
const mostQueued = 30 * 24 * time.Hour

// written gives the day of writing where the sender is: the Date of the mail
// where it can be right, not before the mail answered and not after the mail
// came in, else the day it came in.
func (id *identity) written() civil.Date {
	at := id.options.Received
	earliest := at.Add(-mostQueued)
	if id.mail != nil {
		earliest = id.mail.Sent
	}
	zone := id.as().Zone
	if date, err := mail.ParseDate(id.header.get("date")); err == nil && !date.Before(earliest) && !date.After(at.Add(clockSlack)) {
		at = date
	}
	if zone != nil {
		at = at.In(zone)
	}
	return civil.At(at)
}

var inBrackets = regexp.MustCompile(`\[([^\[\]\s]{1,200})\]`)

// bracketed gives what stands in brackets in a subject, the last first.
func bracketed(subject string) (list []string) {
	for _, m := range inBrackets.FindAllStringSubmatch(cut(subject, 1000), mostIDs) {
		list = append(list, m[1])
	}
	slices.Reverse(list)
	return list
}

// Subject puts a token into a subject, for the mailto link, so that it is
// found again.
func Subject(subject, token string) string { return subject + " [" + token + "]" }
