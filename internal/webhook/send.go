package webhook

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"
)

// ContentType is the media type of the bodies: CloudEvents, structured mode.
const ContentType = "application/cloudevents+json"

const (
	userAgent     = "budcall-webhook/1"
	maxReply      = 64 << 10 // bytes read of a reply's body, and of its headers
	maxRetryAfter = 24 * time.Hour
)

// Options are what a Sender needs; the zero value is enough.
type Options struct {
	RootCAs *x509.CertPool // unset: the machine's
}

// Sender posts events. It is safe for concurrent use and keeps nothing open.
type Sender struct{ roots *x509.CertPool }

// New makes a Sender.
func New(o Options) *Sender { return &Sender{roots: o.RootCAs} }

// Send makes one attempt to tell the endpoint of an event and says what came
// of it. It follows no redirect and asks no proxy.
func (s *Sender) Send(ctx context.Context, to Endpoint, e Event) Outcome {
	u, keys, err := to.parts()
	if err != nil {
		return Outcome{Result: Misconfigured, Text: err.Error()}
	}
	if err := e.check(); err != nil {
		return Outcome{Result: Refused, Text: fmt.Sprintf("webhook %s: %v", to, err)}
	}
	guard, err := to.guard(u)
	if err != nil {
		return Outcome{Result: Misconfigured, Text: fmt.Sprintf("webhook %s: %v", to, err)}
	}
	limit := to.Timeout
	if limit <= 0 {
		limit = usualTimeout
	}
	attempt, cancel := context.WithTimeout(ctx, limit)
	defer cancel()
	reply, err := s.post(attempt, &net.Dialer{Control: guard}, request(attempt, u, keys, e))
	if err != nil {
		return noReply(ctx, to, err)
	}
	return to.judge(reply, e.At)
}

// request is the signed event. Every key signs, the newest first.
func request(ctx context.Context, u *url.URL, keys [][]byte, e Event) *http.Request {
	signatures := make([]string, len(keys))
	for i, k := range keys {
		signatures[i] = sign(k, e.ID, e.At.Unix(), e.Body)
	}
	r := &http.Request{Method: http.MethodPost, URL: u, Host: u.Host, Header: http.Header{
		"Content-Type":  {ContentType},
		"User-Agent":    {userAgent},
		HeaderID:        {e.ID},
		HeaderTimestamp: {strconv.FormatInt(e.At.Unix(), 10)},
		HeaderSignature: {strings.Join(signatures, " ")},
	}, Body: io.NopCloser(bytes.NewReader(e.Body)), ContentLength: int64(len(e.Body))}
	return r.WithContext(ctx)
}

// post sends over a connection of its own: the networks allowed differ by
// endpoint, and no connection of one may serve another.
func (s *Sender) post(ctx context.Context, dialer *net.Dialer, r *http.Request) (*http.Response, error) {
	transport := &http.Transport{
		Proxy:                  nil, // behind a proxy the guard would only see the proxy
		DialContext:            dialer.DialContext,
		TLSClientConfig:        &tls.Config{MinVersion: tls.VersionTLS12, RootCAs: s.roots},
		DisableKeepAlives:      true,
		DisableCompression:     true,
		MaxResponseHeaderBytes: maxReply,
	}
	client := http.Client{Transport: transport, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	reply, err := client.Do(r)
	if err != nil {
		return nil, err
	}
	// The status decides; the body is only read so that the other side can finish.
	_, _ = io.CopyN(io.Discard, reply.Body, maxReply)
	_ = reply.Body.Close()
	return reply, nil
}

// noReply gives the outcome of an attempt without a status.
func noReply(ctx context.Context, to Endpoint, err error) Outcome {
	var outer *url.Error
	if errors.As(err, &outer) {
		err = outer.Err // without the address that the outer one quotes
	}
	var cert *tls.CertificateVerificationError
	var slow net.Error
	what := blocked(err)
	switch {
	case ctx.Err() != nil:
		return Outcome{Result: TryLater, Text: fmt.Sprintf("webhook %s: stopped (%v)", to, context.Cause(ctx))}
	case what != "":
		return Outcome{Result: Misconfigured, Text: fmt.Sprintf("webhook %s: %s", to, what)}
	case errors.As(err, &cert):
		return Outcome{Result: TryLater, Text: fmt.Sprintf("webhook %s: its certificate isn't accepted: %v; ask whoever runs it to renew it", to, cert)}
	case errors.As(err, &slow) && slow.Timeout():
		return Outcome{Result: TryLater, Text: fmt.Sprintf("webhook %s: no reply in time; if this goes on, ask whoever runs it to answer first and work later", to)}
	}
	return Outcome{Result: TryLater, Text: fmt.Sprintf("webhook %s: no reply: %v; if this goes on, check its address and whether it is running", to, err)}
}

// judge gives the outcome of a status. at is the attempt's time, against which
// a date in Retry-After counts.
func (e Endpoint) judge(reply *http.Response, at time.Time) Outcome {
	out := Outcome{Code: reply.StatusCode, RetryAfter: retryAfter(reply.Header.Get("Retry-After"), at)}
	say := func(result Result, advice string) Outcome {
		out.Result, out.Text = result, fmt.Sprintf("webhook %s answered %d%s", e, out.Code, advice)
		if result != TryLater {
			out.RetryAfter = 0
		}
		return out
	}
	switch code := reply.StatusCode; {
	case code/100 == 2:
		return say(Sent, "")
	case code == http.StatusGone:
		return say(Gone, ": it wants nothing more; take it out of the settings")
	case code == http.StatusRequestTimeout, code == http.StatusTooEarly, code == http.StatusTooManyRequests, code/100 == 5:
		return say(TryLater, "; if this goes on, ask whoever runs it")
	case code/100 == 3:
		return say(Refused, ": it has moved, and redirects aren't followed; set its new url")
	case code == http.StatusUnauthorized, code == http.StatusForbidden:
		return say(Refused, ": check that it has the same secret, and its clock")
	}
	return say(Refused, ": check its url, or ask whoever runs it")
}

// retryAfter reads the header's two forms, seconds and an HTTP date (RFC 9110
// 10.2.3); 0 for anything else.
func retryAfter(header string, at time.Time) time.Duration {
	header = strings.TrimSpace(header)
	if seconds, err := strconv.ParseUint(header, 10, 31); err == nil {
		return min(time.Duration(seconds)*time.Second, maxRetryAfter)
	}
	if date, err := http.ParseTime(header); err == nil {
		return max(0, min(date.Sub(at), maxRetryAfter))
	}
	return 0
}
