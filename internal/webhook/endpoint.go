package webhook

import (
	"errors"
	"fmt"
	"net/netip"
	"net/url"
	"strconv"
	"strings"
	"time"
)

// Endpoint is an address that is told of changes.
type Endpoint struct {
	Name    string         // what people call it
	URL     string         // https://…; http:// only to addresses in Allow
	Secrets []string       `json:"-"` // whsec_… or base64; all sign, the first one first: put a new one in front, take the old one out later
	Allow   []netip.Prefix // private networks that it may be in; any public address is allowed anyway
	Timeout time.Duration  // of an attempt in all; 20 s
}

const usualTimeout = 20 * time.Second

// String names the endpoint by name and host only.
func (e Endpoint) String() string {
	if u, err := url.Parse(e.URL); err == nil && u.Hostname() != "" {
		return fmt.Sprintf("%q (%s)", e.Name, u.Hostname())
	}
	return fmt.Sprintf("%q", e.Name)
}

// Check says what is wrong with the endpoint's settings, before anything is
// sent. It quotes neither the address nor a secret.
func (e Endpoint) Check() error {
	_, _, err := e.parts()
	return err
}

// parts gives the address and the keys, once checked.
func (e Endpoint) parts() (*url.URL, [][]byte, error) {
	u, err := e.address()
	if err != nil {
		return nil, nil, fmt.Errorf("webhook %s: %w", e, err)
	}
	if len(e.Secrets) == 0 {
		return nil, nil, fmt.Errorf("webhook %s has no secret: make one, set it here and give it to the other side", e)
	}
	keys := make([][]byte, len(e.Secrets))
	for i, secret := range e.Secrets {
		if keys[i], err = key(secret); err != nil {
			return nil, nil, fmt.Errorf("webhook %s: secret %d can't be used: %w: make a new one", e, i+1, err)
		}
	}
	return u, keys, nil
}

func (e Endpoint) address() (*url.URL, error) {
	u, err := url.Parse(e.URL)
	switch {
	case err != nil || u.Hostname() == "" || u.Opaque != "":
		// url.Parse's own error quotes the address, with whatever secret is in it.
		return nil, errors.New("its url isn't one: write https://host/path")
	case u.Scheme != "https" && u.Scheme != "http":
		return nil, fmt.Errorf("its url begins with %q: write https://", u.Scheme)
	}
	if _, err := port(u); err != nil {
		return nil, err
	}
	u.Fragment, u.RawFragment = "", ""
	return u, nil
}

// port gives the port that will be called.
func port(u *url.URL) (uint16, error) {
	switch given := u.Port(); {
	case given != "":
		n, err := strconv.ParseUint(given, 10, 16)
		if err != nil || n == 0 {
			return 0, errors.New("the port of its url isn't one: write a number from 1 to 65535, or none")
		}
		return uint16(n), nil
	case u.Scheme == "http":
		return 80, nil
	}
	return 443, nil
}

// Event is one thing to be told.
type Event struct {
	ID   string    // the same at every attempt, so that the other side can tell a repetition
	At   time.Time // of the attempt
	Body []byte    // sent and signed byte for byte; [Encode] makes one
}

// MaxBody is the size in bytes that a body must stay below.
const MaxBody = 20_000

func (e Event) check() error {
	switch {
	case !plainID(e.ID):
		return fmt.Errorf("event id %q must be 1 to 100 letters, digits, - or _: this is a fault of the program, please report it", e.ID)
	case e.At.IsZero():
		return fmt.Errorf("event %s has no time of attempt: this is a fault of the program, please report it", e.ID)
	case len(e.Body) == 0 || len(e.Body) >= MaxBody:
		return fmt.Errorf("the body of event %s has %d bytes, and must have 1 to %d: this is a fault of the program, please report it", e.ID, len(e.Body), MaxBody-1)
	}
	return nil
}

// plainID refuses what could be taken for a part of the signed text, where a
// full stop separates, or of a header.
func plainID(s string) bool {
	return s != "" && len(s) <= 100 && strings.IndexFunc(s, func(r rune) bool {
		return !(r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r == '-' || r == '_')
	}) < 0
}
