package app

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/netip"
	"sync/atomic"
	"time"

	"budcall/internal/fetch"
	"budcall/internal/pull"
)

// fetcher asks sources: files of this machine, or polite HTTP.
type fetcher struct {
	client  *fetch.Client
	secrets *secrets                  // our keys for providers
	hasty   bool                      // time is simulated: no provider's pace is kept, since none but this machine is asked
	asked   atomic.Pointer[time.Time] // the program's time of the latest asking
}

// newFetcher makes the client. While time is simulated, sources on this
// machine may be asked, and none else.
func newFetcher(version, contact string, c *clock, keys *secrets, log *slog.Logger) (*fetcher, error) {
	agent, err := fetch.UserAgent(version, contact)
	if err != nil {
		return nil, err
	}
	f := &fetcher{secrets: keys, hasty: c.simulated}
	o := fetch.Options{UserAgent: agent, Logger: log, Now: time.Now}
	if c.simulated {
		o.Now = func() time.Time { return *f.asked.Load() }
		o.AllowCIDRs = []netip.Prefix{netip.MustParsePrefix("127.0.0.0/8"), netip.MustParsePrefix("::1/128")}
		o.MinInterval = time.Millisecond
		o.FirstPause = time.Millisecond
	}
	f.client, err = fetch.New(o)
	return f, err
}

// Ask asks one source.
func (f *fetcher) Ask(ctx context.Context, a pull.Asking) (pull.Answer, error) {
	f.asked.Store(&a.Now)
	if a.Path != "" {
		body, err := fetch.ReadFile(a.Path)
		return pull.Answer{Body: body}, passing(err)
	}
	if s, ok := a.Served.(served); ok {
		return f.askServed(ctx, a, s)
	}
	// The job has looked at Expires in the program's time.
	return f.get(ctx, fetch.Request{URL: a.URL, Source: a.Name, IfModifiedSince: a.LastModified, ETag: a.ETag})
}

func (f *fetcher) get(ctx context.Context, r fetch.Request) (pull.Answer, error) {
	resp, err := f.client.Get(ctx, r)
	return pull.Answer{
		Body: resp.Body, Unchanged: resp.NotModified, Expires: resp.Expires, LastModified: resp.LastModified, ETag: resp.ETag,
	}, passing(err)
}

// passing tells the failures that may pass by themselves, and those that
// concern the place asked for alone.
func passing(err error) error {
	var fe *fetch.Error
	switch {
	case errors.As(err, &fe) && fe.Temporary:
		return &pull.Passing{Err: err, After: fe.RetryAfter}
	case errors.Is(err, fetch.ErrOutside), errors.Is(err, fetch.ErrNothing):
		return &pull.Misplaced{Err: err}
	}
	return err
}

// String tells one station that a provider is asked for from another, so that
// what is remembered of the one isn't taken for the other's.
func (s served) String() string {
	return fmt.Sprintf("%s %v %v %v %s", s.source(), s.series.LatitudeDeg, s.series.LongitudeDeg, s.series.AltitudeM, s.series.Zone)
}
