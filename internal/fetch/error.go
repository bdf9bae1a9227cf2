package fetch

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/url"
	"time"
)

// Reasons an Error can be told by with errors.Is.
var (
	ErrNotYet    = errors.New("asked before its time")      // the last answer holds, or the host told us to stay away
	ErrForbidden = errors.New("not allowed to ask")         // 401, 403
	ErrOutside   = errors.New("outside the area covered")   // 422
	ErrSlowDown  = errors.New("asked too often")            // 429
	ErrNothing   = errors.New("nothing is there")           // 404, 410, 412
	ErrGuarded   = errors.New("address not allowed")        // the guard refused to connect
	ErrNoFile    = errors.New("file isn't there")           // ReadFile
	errRedirects = errors.New("more than three redirects")  // told as a permanent error
	errDowngrade = errors.New("redirected away from https") // told as a permanent error
	errNoWeb     = errors.New("redirected to what is no web address")
)

// Error is a fetch that gave nothing. Its text names the source and the
// address without secrets and ends in what to do.
type Error struct {
	Source     string
	Status     int       // HTTP status; 0 when there was none
	Temporary  bool      // coming back later may help
	RetryAfter time.Time // when to come back at the earliest; zero: at the next usual time

	kind  error // one of the reasons above, or nil
	cause error
	soon  bool // worth another attempt within the same call
	text  string
}

// Error gives the text.
func (e *Error) Error() string {
	if e.Source == "" {
		return e.text
	}
	return e.Source + ": " + e.text
}

// Unwrap gives the reason and the cause.
func (e *Error) Unwrap() []error {
	var all []error
	for _, err := range []error{e.kind, e.cause} {
		if err != nil {
			all = append(all, err)
		}
	}
	return all
}

// fault is what went wrong, before secrets are taken out.
type fault struct {
	kind, cause error
	status      int
	temporary   bool
	soon        bool
	retryAfter  time.Time
	text        string
}

// fail makes an Error that names the address and holds no secret.
func (a ask) fail(f fault) *Error {
	cause := f.cause
	if cause != nil && a.redact.holdsSecret(cause.Error()) {
		cause = errors.New(a.redact.clean(cause.Error()))
	}
	return &Error{
		Source: a.Source, Status: f.status, Temporary: f.temporary, RetryAfter: f.retryAfter,
		kind: f.kind, cause: cause, soon: f.soon,
		text: fmt.Sprintf("%s: %s", a.redact.address, a.redact.clean(f.text)),
	}
}

// connection makes an error of a request that got no answer.
func (a ask) connection(err error, timeout time.Duration) error {
	var wrapped *url.Error // repeats the address, with its secrets
	for errors.As(err, &wrapped) {
		err = wrapped.Err
	}
	var dns *net.DNSError
	f := fault{cause: err, temporary: true, soon: true}
	switch {
	case errors.Is(err, ErrGuarded):
		f = fault{kind: ErrGuarded, cause: err, text: err.Error() + ": name a public address, by https, or let the data be written to a file"}
	case errors.Is(err, errNoWeb):
		f = fault{cause: err, text: err.Error() + ": it isn't followed; look whether url is the provider's, and tell whoever runs the server"}
	case errors.Is(err, errRedirects), errors.Is(err, errDowngrade):
		f = fault{cause: err, text: err.Error() + ": put the final address into url"}
	case isCertificate(err):
		f = fault{cause: err, text: "the server's certificate isn't valid (" + err.Error() + "): correct the host in url, or tell the source"}
	case errors.Is(err, context.DeadlineExceeded):
		f.text = fmt.Sprintf("no answer within %s: it will be tried again", timeout)
	case errors.Is(err, context.Canceled):
		f.soon, f.text = false, "stopped while asking: it will be tried again"
	case errors.As(err, &dns) && dns.IsNotFound:
		f.text = "the host is not known (" + err.Error() + "): look at url and at this machine's name service"
	default:
		f.text = "no connection (" + err.Error() + "): it will be tried again"
	}
	return a.fail(f)
}
