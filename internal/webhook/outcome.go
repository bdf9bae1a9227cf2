// Package webhook tells other programs of changes: it signs a body and posts
// it to their address.
//
// The envelope is Standard Webhooks 1.0.0 (standardwebhooks.com: headers
// webhook-id, webhook-timestamp, webhook-signature), the body one CloudEvents
// 1.0 object in structured mode; the body's form is published as
// deploy/webhook.schema.json. [Sink] is a receiving end on loopback for the
// demo and for tests.
package webhook

import (
	"fmt"
	"time"
)

// Result is what came of an attempt, and so what to do next.
type Result string

// The results.
const (
	Sent          Result = "sent"          // a 2xx
	TryLater      Result = "try later"     // 408, 425, 429, 5xx, or no reply: it may or may not have it; the id is the same next time
	Refused       Result = "refused"       // a redirect, another 4xx, or a body that can't be sent: repeating changes nothing
	Gone          Result = "gone"          // 410: it wants nothing more; stop sending there
	Misconfigured Result = "misconfigured" // nothing was sent: address, secret or network as set won't do
)

// Results lists every result, for counters that exist before the first event.
var Results = []Result{Sent, TryLater, Refused, Gone, Misconfigured}

// Outcome is what came of an attempt to send. Text is for the operator, ends
// in what to do, and holds of the address only the host: paths, queries and
// user parts of such addresses are often secrets.
type Outcome struct {
	Result     Result
	Code       int           // HTTP status; 0 without a reply
	Text       string        // what happened and what to do
	RetryAfter time.Duration // the least wait asked for by the other side, at most 24 h; 0: none
}

// String gives the outcome in one line.
func (o Outcome) String() string { return fmt.Sprintf("%s: %s", o.Result, o.Text) }

// delays are the waits before the first attempt and after the first, second, …
// failed one, as Standard Webhooks 1.0.0 gives them by way of example.
var delays = []time.Duration{
	0, 5 * time.Second, 5 * time.Minute, 30 * time.Minute, 2 * time.Hour,
	5 * time.Hour, 10 * time.Hour, 14 * time.Hour, 20 * time.Hour, 24 * time.Hour,
}

// Delay is how long to wait after that many failed attempts: none before the
// first, then 5 s, 5 min, 30 min, 2, 5, 10, 14, 20, 24, 24 … h, spread by
// ±20 %. jitter is a random number from 0 to 1; 0.5 gives the middle. A longer
// RetryAfter wins.
func Delay(failed int, jitter float64) time.Duration {
	base := delays[max(0, min(failed, len(delays)-1))]
	if !(jitter >= 0 && jitter <= 1) { // NaN too
		jitter = 0.5
	}
	return time.Duration(float64(base) * (0.8 + 0.4*jitter))
}
