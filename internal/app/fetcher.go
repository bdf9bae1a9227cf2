package app

import (
	"context"
	"errors"
	"log/slog"
	"net/netip"
	"sync/atomic"
	"time"

	"budcall/internal/fetch"
	"budcall/internal/pull"
)

// fetcher asks sources: files of this machine, or polite HTTP.
type fetcher struct {
	client *fetch.Client
	asked  atomic.Pointer[time.Time] // the program's time of the latest asking
}

// newFetcher makes the client. While time is simulated, sources on this
// machine may be asked, and none else.
func newFetcher(version, contact string, c *clock, log *slog.Logger) (*fetcher, error) {
	agent, err := fetch.UserAgent(version, contact)
	if err != nil {
		return nil, err
	}
	f := &fetcher{}
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
	r, err := f.client.Get(ctx, fetch.Request{
		URL: a.URL, Source: a.Name, IfModifiedSince: a.LastModified, ETag: a.ETag, Expires: time.Time{}, // the job has looked at Expires in the program's time
	})
	return pull.Answer{
		Body: r.Body, Unchanged: r.NotModified, Expires: r.Expires, LastModified: r.LastModified, ETag: r.ETag,
	}, passing(err)
}

// passing tells the failures that may pass by themselves.
func passing(err error) error {
	var fe *fetch.Error
	if errors.As(err, &fe) && fe.Temporary {
		return &pull.Passing{Err: err, After: fe.RetryAfter}
	}
	return err
}
