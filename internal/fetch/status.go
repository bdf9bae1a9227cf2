package fetch

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"
)

// How long we stay away from a server that gives no time of its own: our
// assumption. A 429 there means that it doesn't like what we do.
const (
	slowDownPause = time.Hour
	longestAway   = 24 * time.Hour // a later Retry-After is taken as this, so that a slip of theirs doesn't cost us a source for good
)

// refused makes an error of an answer that isn't one of success.
func (c *Client) refused(a ask, resp *http.Response) error {
	now := c.opt.Now()
	f := fault{status: resp.StatusCode, retryAfter: retryAfter(resp.Header, now)}
	switch code := resp.StatusCode; {
	case code == http.StatusTooManyRequests || code == http.StatusServiceUnavailable && !f.retryAfter.IsZero():
		if f.retryAfter.IsZero() {
			f.retryAfter = now.Add(slowDownPause)
		}
		c.stayAway(resp.Request.URL.Host, f.retryAfter)
		f.temporary = true
		f.text = "the server wants to be left alone until " + f.retryAfter.UTC().Format(time.RFC3339)
		if code == http.StatusTooManyRequests {
			f.kind = ErrSlowDown
			f.text += fmt.Sprintf(": ask less often, and look whether the User-Agent %q names a contact that is true", c.opt.UserAgent)
		} else {
			f.text += ": it will be tried then"
		}
	case code == http.StatusForbidden:
		f.kind = ErrForbidden
		f.text = fmt.Sprintf("forbidden: look whether the User-Agent %q names a contact that is true, and whether the source wants a key", c.opt.UserAgent)
	case code == http.StatusUnauthorized:
		f.kind = ErrForbidden
		f.text = "the source wants a key or password, or does not accept ours: correct it"
	case code == http.StatusUnprocessableEntity:
		f.kind = ErrOutside
		f.text = "the place is outside the area that this source covers: correct its coordinates or choose another source"
	case code == http.StatusNotFound || code == http.StatusGone || code == http.StatusPreconditionFailed:
		f.kind = ErrNothing
		f.text = "nothing is there: correct url or id, unless the source has nothing of these days"
	case code == http.StatusRequestTimeout || code >= 500:
		f.temporary, f.soon = true, f.retryAfter.IsZero()
		f.text = "the server has trouble: it will be tried again"
	default:
		f.text = "the server does not accept the request: correct url"
	}
	f.text = fmt.Sprintf("status %d, %s%s", resp.StatusCode, f.text, a.said(resp))
	return a.fail(f)
}

// retryAfter reads Retry-After, seconds or a date; zero when there is none.
func retryAfter(h http.Header, now time.Time) time.Time {
	text := strings.TrimSpace(h.Get("Retry-After"))
	at, err := http.ParseTime(text)
	if seconds, numErr := strconv.Atoi(text); numErr == nil && seconds >= 0 {
		at, err = now.Add(time.Duration(min(seconds, int(longestAway/time.Second)))*time.Second), nil
	}
	switch {
	case err != nil:
		return time.Time{}
	case at.Before(now):
		return now
	case at.After(now.Add(longestAway)):
		return now.Add(longestAway)
	}
	return at
}

// expires reads the time before which we don't ask again. Where the server's
// clock and ours differ, the later of its date and its span from its own Date
// holds. Zero when it isn't said, can't be read or is past.
func expires(h http.Header, now time.Time) time.Time {
	at, err := http.ParseTime(h.Get("Expires"))
	if err != nil {
		return time.Time{}
	}
	if date, err := http.ParseTime(h.Get("Date")); err == nil {
		if bySpan := now.Add(at.Sub(date)); bySpan.After(at) {
			at = bySpan
		}
	}
	if !at.After(now) {
		return time.Time{}
	}
	return at
}
