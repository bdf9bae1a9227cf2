package fetch

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"time"
)

// ask is a checked request.
type ask struct {
	Request
	url    *url.URL
	redact redactor
}

func newAsk(r Request) (ask, error) {
	u, err := url.Parse(r.URL)
	if err != nil {
		// url.Parse repeats the address, with whatever secret it holds.
		return ask{}, &Error{Source: r.Source, text: "the address can't be read: correct url"}
	}
	if r.Key != "" && r.Rules.Key == KeyInURL {
		u.RawQuery = strings.TrimPrefix(u.RawQuery+"&"+string(KeyInURL)+"="+url.QueryEscape(r.Key), "&")
		r.URL = u.String()
	}
	a := ask{Request: r, url: u, redact: newRedactor(u)}
	a.redact.add(r.Key)
	if r.Key != "" {
		a.redact.add(basic(r.Key, "")...)
	}
	if u.Scheme != "http" && u.Scheme != "https" || u.Host == "" {
		return a, a.fail(fault{text: "the address must begin with https:// and name a host: correct url"})
	}
	return a, nil
}

// attempt asks once.
func (c *Client) attempt(ctx context.Context, a ask) (Response, error) {
	if err := c.takeTurn(ctx, a); err != nil {
		return Response{}, err
	}
	ctx, cancel := context.WithTimeout(ctx, c.opt.Timeout)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, a.URL, nil)
	if err != nil {
		return Response{}, a.fail(fault{cause: err, text: "the address can't be used: correct url"})
	}
	c.setHeaders(req, a)
	began := c.opt.Now()
	resp, err := c.http.Do(req)
	if err != nil {
		return Response{}, a.connection(err, c.opt.Timeout)
	}
	defer resp.Body.Close()
	c.opt.Logger.InfoContext(ctx, "fetched", "source", a.Source, "url", a.redact.address, "status", resp.StatusCode, "took", c.opt.Now().Sub(began))
	return c.answer(a, resp)
}

func (c *Client) setHeaders(req *http.Request, a ask) {
	req.Header.Set("User-Agent", c.opt.UserAgent)
	if a.IfModifiedSince != "" {
		req.Header.Set("If-Modified-Since", a.IfModifiedSince)
	}
	if a.ETag != "" {
		req.Header.Set("If-None-Match", a.ETag)
	}
	if a.Key != "" && a.Rules.Key == KeyAsUser {
		req.SetBasicAuth(a.Key, "")
	}
	// Accept-Encoding is left to net/http, which then unpacks gzip itself.
}

// answer reads a response of any status.
func (c *Client) answer(a ask, resp *http.Response) (Response, error) {
	now := c.opt.Now()
	out := Response{
		Status: resp.StatusCode, FetchedAt: now, Expires: expires(resp.Header, now),
		LastModified: resp.Header.Get("Last-Modified"), ETag: resp.Header.Get("ETag"),
	}
	switch {
	case resp.StatusCode == http.StatusNotModified && (a.IfModifiedSince != "" || a.ETag != ""):
		out.NotModified = true
		out.LastModified = orElse(out.LastModified, a.IfModifiedSince)
		out.ETag = orElse(out.ETag, a.ETag)
		return out, nil
	case resp.StatusCode < 200 || resp.StatusCode > 299:
		return Response{}, c.refused(a, resp)
	case resp.StatusCode == http.StatusNonAuthoritativeInfo:
		c.opt.Logger.Warn("the source answers 203: this product is beta or will end soon; look for its successor", "source", a.Source, "url", a.redact.address)
	}
	body, err := readLimited(resp.Body, c.opt.MaxBytes)
	if err != nil {
		return Response{}, a.body(err, c.opt)
	}
	out.Body = a.withoutKey(body)
	return out, nil
}

func orElse(value, byDefault string) string {
	if value == "" {
		return byDefault
	}
	return value
}

var errTooLarge = errors.New("too large")

// readLimited reads to the end, or to one byte past the limit.
func readLimited(r io.Reader, limit int64) ([]byte, error) {
	body, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err == nil && int64(len(body)) > limit {
		return nil, errTooLarge
	}
	return body, err
}

// body makes an error of a body that couldn't be read to its end.
func (a ask) body(err error, opt Options) error {
	switch {
	case errors.Is(err, errTooLarge):
		return a.fail(fault{cause: err, text: fmt.Sprintf("the answer is larger than %d MiB: look whether url asks for a single station or place", opt.MaxBytes>>20)})
	case errors.Is(err, context.DeadlineExceeded):
		return a.fail(fault{cause: err, temporary: true, soon: true, text: fmt.Sprintf("the answer did not end within %s: it will be tried again", opt.Timeout)})
	}
	return a.fail(fault{cause: err, temporary: true, soon: true, text: "the answer broke off (" + err.Error() + "): it will be tried again"})
}

// longestQueue is how long a request waits for its turn among ours.
const longestQueue = 2 * time.Minute

// takeTurn waits until the host may be asked: not faster than its interval,
// not more than it grants, and not before the time it told us to come back.
func (c *Client) takeTurn(ctx context.Context, a ask) error {
	wait, err := c.turn(a)
	if err != nil {
		return err
	}
	if wait <= 0 {
		return nil
	}
	if err := c.opt.Sleep(ctx, wait); err != nil {
		return a.fail(fault{cause: err, temporary: true, text: "stopped while waiting for its turn"})
	}
	return nil
}

// turn gives how long to wait for the turn that it has taken.
func (c *Client) turn(a ask) (time.Duration, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	host, now := a.url.Host, c.opt.Now()
	later := func(at time.Time, why string) error {
		return a.fail(fault{kind: ErrNotYet, temporary: true, retryAfter: at, text: host + why + at.UTC().Format(time.RFC3339)})
	}
	if at := c.away[host]; at.After(now.Add(c.opt.Timeout)) {
		return 0, later(at, " asked us to stay away until ")
	}
	at := now
	for _, t := range []time.Time{c.away[host], c.turns[host]} {
		if t.After(at) {
			at = t
		}
	}
	if at.Sub(now) > longestQueue {
		return 0, later(at, " is asked much by us, and its next turn comes at ")
	}
	if until := c.spend(host, a.Rules, now); until.After(now) {
		return 0, later(until, " grants no more requests until ")
	}
	c.turns[host] = at.Add(max(c.opt.MinInterval, a.Rules.Interval))
	return at.Sub(now), nil
}

// stayAway makes every request to the host wait until then.
func (c *Client) stayAway(host string, until time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if until.After(c.away[host]) {
		c.away[host] = until
	}
}
