package notice

import (
	"fmt"
	"net/mail"
	"net/url"
	"strings"
)

// Limits of what a header field takes; our choice, far below the 998 bytes of
// a line in RFC 5322 section 2.1.1.
const (
	maxAddress = 254 // RFC 5321, section 4.5.3.1.3, less the angle brackets
	maxID      = 200
	maxThread  = 20
	maxName    = 80  // characters
	maxSubject = 200 // characters
)

// check refuses a letter that no mail can be made of, and says what to mend.
func check(l Letter) error {
	for _, a := range []struct{ what, address string }{{"to", l.To}, {"from", l.From}, {"reply_to", l.ReplyTo}} {
		if a.address == "" && a.what == "reply_to" {
			continue
		}
		if err := checkAddress(a.address); err != nil {
			return fmt.Errorf("%s: %w", a.what, err)
		}
	}
	for _, id := range append([]string{l.ID}, l.Thread...) {
		if !isDotAtom(id) || len(id) > maxID {
			return fmt.Errorf("id %q can't stand in a Message-ID: use at most %d letters, digits, dots and hyphens", id, maxID)
		}
	}
	if !isDotAtom(l.Domain) || len(l.Domain) > maxID {
		return fmt.Errorf("domain %q can't stand in a Message-ID: give a host name such as mail.example.org", l.Domain)
	}
	if l.At.IsZero() {
		return fmt.Errorf("letter %s has no time: set at", l.ID)
	}
	return checkContent(l)
}

// checkContent refuses a letter that says nothing, and links that mustn't stand in a mail.
func checkContent(l Letter) error {
	switch l.Kind {
	case Calls, Passed:
		if len(l.Items) == 0 {
			return fmt.Errorf("letter %s of kind %s has no items: it would say nothing; don't send it", l.ID, l.Kind)
		}
	case Ops:
		if len(l.Trouble) == 0 {
			return fmt.Errorf("letter %s of kind %s has no trouble: it would say nothing; don't send it", l.ID, l.Kind)
		}
	case Test:
	case Weekly:
		if l.Week == nil {
			return fmt.Errorf("letter %s of kind %s has no overview: it would say nothing; don't send it", l.ID, l.Kind)
		}
	case Settings:
		if l.Change == nil {
			return fmt.Errorf("letter %s of kind %s is about no change: it would say nothing; don't send it", l.ID, l.Kind)
		}
	case Receipt, Tap, Unread:
		if l.Reply == nil {
			return fmt.Errorf("letter %s of kind %s is about no mail: it would say nothing; don't send it", l.ID, l.Kind)
		}
	default:
		return fmt.Errorf("letter %s has the unknown kind %q: use calls, passed, ops or test", l.ID, l.Kind)
	}
	for _, it := range l.Items {
		if it.Link == "" {
			continue
		}
		u, err := url.Parse(it.Link)
		if err != nil || u.Scheme != "https" && u.Scheme != "http" || u.Host == "" || strings.ContainsFunc(it.Link, notASCII) {
			return fmt.Errorf("the link of %s at %s is no web address: check public_url", it.Task, it.Site)
		}
	}
	return nil
}

// checkAddress takes one bare address in ASCII and nothing else, so that
// nothing can be smuggled into a header field through it. The address itself
// isn't in the error, since errors are logged.
func checkAddress(address string) error {
	if address == "" {
		return fmt.Errorf("no mail address: give one such as name@example.org")
	}
	parsed, err := mail.ParseAddress(address)
	if err != nil || parsed.Address != address || len(address) > maxAddress || strings.ContainsFunc(address, notASCII) {
		return fmt.Errorf("not a plain mail address: write name@example.org, ASCII only, without name, brackets or line breaks")
	}
	return nil
}

// notASCII is true of everything but printable ASCII without the space.
func notASCII(r rune) bool { return r <= ' ' || r > '~' }

// isDotAtom tells whether s is a dot-atom of RFC 5322, section 3.2.3.
func isDotAtom(s string) bool {
	for _, atom := range strings.Split(s, ".") {
		if atom == "" || strings.ContainsFunc(atom, func(r rune) bool {
			return notASCII(r) || strings.ContainsRune(`()<>[]:;@\,."`, r)
		}) {
			return false
		}
	}
	return true
}

// cut shortens s to n characters.
func cut(s string, n int) string {
	if r := []rune(s); len(r) > n {
		return string(r[:n-1]) + "…"
	}
	return s
}
