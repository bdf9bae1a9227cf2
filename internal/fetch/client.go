// Package fetch is the getting of weather bytes: politely over HTTP, or from a
// file on this machine.
//
// Polite means: we say who we are and how to reach us, we never ask again
// before an answer expires, we ask only for what has changed, we go slowly
// and stay away when told to. A guard on every connection keeps addresses in
// settings from reaching the private network.
package fetch

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"net/netip"
	"regexp"
	"strings"
	"sync"
	"time"
)

// Options is what a Client needs. UserAgent is required; every other zero
// value means the default named beside it.
type Options struct {
	UserAgent   string           // see UserAgent
	Logger      *slog.Logger     // nothing is logged
	Now         func() time.Time // time.Now
	Sleep       func(ctx context.Context, d time.Duration) error
	AllowCIDRs  []netip.Prefix // none: public addresses on the usual ports, over https only
	MaxBytes    int64          // 32 MiB, after unpacking
	Timeout     time.Duration  // 30 s for one attempt, its body included
	Attempts    int            // 3
	FirstPause  time.Duration  // 2 s before the second attempt, doubled before each further one, with jitter
	MinInterval time.Duration  // 100 ms between two requests to one host
	Seed        uint64         // of the jitter
}

// Client fetches. It is safe for concurrent use.
type Client struct {
	opt  Options
	http *http.Client

	mu     sync.Mutex
	jitter *rand.Rand
	turns  map[string]time.Time // when a host may be asked next
	away   map[string]time.Time // when a host wants to see us again
	spent  map[spending]spent   // of the allowances of hosts
}

// New checks the options and gives a client. It opens nothing.
func New(opt Options) (*Client, error) {
	if err := checkUserAgent(opt.UserAgent); err != nil {
		return nil, err
	}
	c := &Client{opt: withDefaults(opt), jitter: rand.New(rand.NewPCG(opt.Seed, 0x6d6574)), turns: map[string]time.Time{}, away: map[string]time.Time{}, spent: map[spending]spent{}}
	c.http = &http.Client{Transport: guarded(opt.AllowCIDRs), CheckRedirect: c.checkRedirect}
	return c, nil
}

func withDefaults(opt Options) Options {
	if opt.Logger == nil {
		opt.Logger = slog.New(slog.DiscardHandler)
	}
	if opt.Now == nil {
		opt.Now = time.Now
	}
	if opt.Sleep == nil {
		opt.Sleep = sleep
	}
	opt.MaxBytes = cmpOr(opt.MaxBytes, MaxBytes)
	opt.Timeout = cmpOr(opt.Timeout, 30*time.Second)
	opt.Attempts = cmpOr(opt.Attempts, 3)
	opt.FirstPause = cmpOr(opt.FirstPause, 2*time.Second)
	opt.MinInterval = cmpOr(opt.MinInterval, 100*time.Millisecond)
	return opt
}

// cmpOr is value where it is positive, else the default.
func cmpOr[T int | int64 | time.Duration](value, byDefault T) T {
	if value > 0 {
		return value
	}
	return byDefault
}

// UserAgent puts together what weather services ask for: application,
// version and a way to reach a person, which is an address or a page.
func UserAgent(version, contact string) (string, error) {
	agent := fmt.Sprintf("budcall/%s (+%s)", version, contact)
	return agent, checkUserAgent(agent)
}

// checkUserAgent refuses what services refuse: no application and version,
// or nobody to reach.
func checkUserAgent(agent string) error {
	name, rest, hasVersion := strings.Cut(agent, "/")
	contact := strings.Contains(rest, "@") || strings.Contains(rest, "https://") || strings.Contains(rest, "http://")
	if name == "" || !hasVersion || !contact || strings.ContainsAny(agent, "\r\n") {
		return fmt.Errorf("the User-Agent %q tells no application, version and contact: set the contact to a mail address or a web page of the people who run this program", agent)
	}
	return nil
}

// Request is what to get and what is remembered of the last answer.
type Request struct {
	URL    string
	Source string // what logs and errors call it, such as the station's code

	Expires         time.Time // of the last answer; not asked before
	IfModifiedSince string    // Last-Modified of the last answer, verbatim
	ETag            string    // of the last answer

	Rules Rules          // of the provider
	Key   string         // goes where Rules.Key says; never shown
	Link  *regexp.Regexp // URL is a page of links: the address on it that fits is asked; nil: URL is it
}

// Response is an answer. With NotModified the last body still holds.
type Response struct {
	Status       int
	Body         []byte
	NotModified  bool
	Expires      time.Time // not to be asked again before; zero when the server doesn't say
	LastModified string    // to be sent back verbatim
	ETag         string
	FetchedAt    time.Time
}

// Get fetches what the request names, or what the page it names links to. Short trouble is tried again a few
// times within the call; what it returns in the end is an *Error that says
// whether coming back later may help, and when.
func (c *Client) Get(ctx context.Context, r Request) (Response, error) {
	a, err := newAsk(r)
	if err != nil {
		return Response{}, err
	}
	if r.Link != nil {
		return c.follow(ctx, a)
	}
	if c.opt.Now().Before(r.Expires) {
		return Response{}, a.fail(fault{kind: ErrNotYet, temporary: true, retryAfter: r.Expires,
			text: "the last answer holds until " + r.Expires.UTC().Format(time.RFC3339)})
	}
	for attempt := 1; ; attempt++ {
		resp, err := c.attempt(ctx, a)
		var e *Error
		if err == nil || !errors.As(err, &e) || !e.soon || attempt >= c.opt.Attempts {
			return resp, err
		}
		pause := c.pause(attempt)
		c.opt.Logger.WarnContext(ctx, "fetching failed, trying again", "source", r.Source, "attempt", attempt, "pause", pause, "error", err)
		if sleepErr := c.opt.Sleep(ctx, pause); sleepErr != nil {
			return resp, err
		}
	}
}

// pause is the wait after a failed attempt: doubled each time, less up to a
// half by chance, so that many clients don't come back together.
func (c *Client) pause(attempt int) time.Duration {
	c.mu.Lock()
	defer c.mu.Unlock()
	full := c.opt.FirstPause << min(attempt-1, 10)
	return full/2 + time.Duration(c.jitter.Int64N(int64(full/2)+1))
}

// sleep waits for d or until ctx ends.
func sleep(ctx context.Context, d time.Duration) error {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-timer.C:
		return nil
	}
}
