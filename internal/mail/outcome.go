// Package mail hands ready-made mails to an SMTP relay, one recipient each,
// and says how sure it is that the relay took them.
//
// It renders nothing and retries nothing: the bytes come from notice, and when
// to try again is the caller's, with [Delay]. [Sink] is a relay on loopback for
// the demo and for tests.
package mail

import (
	"fmt"
	"strings"
	"time"
)

// Result is what came of an attempt, and so what to do next.
type Result string

// The results. Only Unknown leaves open whether the relay has the mail.
const (
	Sent          Result = "sent"          // the relay said 250: it has the mail, whatever happened after
	TryLater      Result = "try later"     // surely not sent; the same mail may go through later
	Refused       Result = "refused"       // surely not sent, and never will be to this recipient or in this form
	Misconfigured Result = "misconfigured" // surely not sent, and no mail will be until somebody mends the settings
	Unknown       Result = "unknown"       // the final dot was written, the answer to it was lost
)

// Results lists every result, for counters that exist before the first mail.
var Results = []Result{Sent, TryLater, Refused, Misconfigured, Unknown}

// Stage is the step of the conversation that an attempt came to.
type Stage string

// The stages in their order.
const (
	StageDial     Stage = "dial"     // settings, message and connection
	StageGreeting Stage = "greeting" // the relay's greeting and EHLO
	StageStartTLS Stage = "starttls" // the TLS handshake, whichever way it begins
	StageAuth     Stage = "auth"
	StageMail     Stage = "mail"
	StageRcpt     Stage = "rcpt"
	StageData     Stage = "data" // the DATA command and the body
	StageDot      Stage = "dot"  // the final dot and the answer to it
)

// Outcome is what came of an attempt to send.
//
// Text is for the operator and ends in what to do. It quotes the relay, which
// likes to repeat the recipient's address: keep it out of logs and metrics.
type Outcome struct {
	Result  Result
	Code    int    // the relay's reply code; 0 if it didn't reply
	Text    string // what happened and, where somebody can do something, what
	RelayID string // the relay's own name for the mail, from its 250; the thread to the relay's log
	Stage   Stage  // the step that decided
}

// delays are the waits after the first, second, … failed attempt.
var delays = []time.Duration{time.Minute, 5 * time.Minute, 15 * time.Minute, 30 * time.Minute}

// Delay is how long to wait after that many failed attempts: 1, 5, 15, 30,
// 30 … minutes, spread by ±20 %. jitter is a random number from 0 to 1; 0.5
// gives the middle. No failure yet, no wait.
//
// The waits are shorter than RFC 5321 4.5.4.1 asks of a relay (30 minutes):
// a call is stale sooner than a letter, and the relay is our own.
func Delay(failed int, jitter float64) time.Duration {
	if failed <= 0 {
		return 0
	}
	base := delays[min(failed, len(delays))-1]
	if !(jitter >= 0 && jitter <= 1) { // NaN too
		jitter = 0.5
	}
	return time.Duration(float64(base) * (0.8 + 0.4*jitter))
}

// relayID finds the relay's name for a mail in the text of its 250: what
// Postfix calls "queued as", Exim "id=" and Sendmail puts first. Where the
// text has none of these forms it is kept whole, up to 200 bytes.
func relayID(text string) string {
	text = strings.TrimSpace(text)
	if _, after, ok := strings.Cut(text, "queued as "); ok {
		return firstWord(after)
	}
	if _, after, ok := strings.Cut(text, "id="); ok {
		return firstWord(after)
	}
	if before, _, ok := strings.Cut(text, " Message accepted"); ok {
		words := strings.Fields(before)
		if len(words) > 0 {
			return words[len(words)-1]
		}
	}
	return text[:min(len(text), 200)]
}

func firstWord(s string) string {
	words := strings.Fields(s)
	if len(words) == 0 {
		return ""
	}
	return strings.TrimRight(words[0], ".,;)")
}

// String gives the outcome in one line.
func (o Outcome) String() string {
	return fmt.Sprintf("%s at %s: %s", o.Result, o.Stage, o.Text)
}
