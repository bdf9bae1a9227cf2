package mail

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"slices"
	"strings"

	"github.com/emersion/go-smtp"
)

// fault is an error of our own that already knows its result.
type fault struct {
	result Result
	text   string
}

func (f fault) Error() string { return f.text }

// failed gives the outcome of an error at a stage. cut tells that the last
// write wasn't handed over whole: then even the dot surely didn't arrive.
func (s *Sender) failed(ctx context.Context, stage Stage, err error, cut bool) Outcome {
	out := Outcome{Result: TryLater, Stage: stage}
	var reply *smtp.SMTPError
	var own fault
	var cert *tls.CertificateVerificationError
	switch {
	case errors.As(err, &reply):
		out.Code, out.Result = reply.Code, ofReply(stage, reply)
		out.Text = fmt.Sprintf("the relay %s answered %s%s", s.relay.Addr, words(reply), advice(out.Result, stage, reply.Code))
		return out
	case errors.As(err, &own):
		out.Result, out.Text = own.result, own.text
		return out
	case errors.As(err, &cert):
		out.Result, out.Stage = Misconfigured, StageStartTLS
		out.Text = fmt.Sprintf("the certificate of the relay %s isn't accepted: %v; have it renewed, or set the server name and the CA file it was made for", s.relay.Addr, cert)
		return out
	case stage == StageDot && !cut:
		out.Result = Unknown
	}
	out.Text = s.broken(ctx, stage, err)
	if out.Result == Unknown {
		out.Text += "; whether the relay has the mail is not known: look for it in the relay's log"
	}
	return out
}

// broken describes an attempt that ended without a reply.
func (s *Sender) broken(ctx context.Context, stage Stage, err error) string {
	var timeout net.Error
	switch {
	case ctx.Err() != nil:
		return fmt.Sprintf("stopped at stage %s (%v)", stage, context.Cause(ctx))
	case stage == StageDial:
		return fmt.Sprintf("cannot reach the relay %s: %v; check its host name and port, that it is running, and that no firewall stands between; the mail waits meanwhile", s.relay.Addr, err)
	case errors.As(err, &timeout) && timeout.Timeout():
		return fmt.Sprintf("the relay %s gave no answer in time at stage %s; see whether it is overloaded, or raise the time allowed", s.relay.Addr, stage)
	}
	return fmt.Sprintf("the connection to the relay %s broke at stage %s: %v; if this goes on, look into the relay's log", s.relay.Addr, stage, err)
}

// wantsAuth are the codes by which a relay asks for a user, another way to log
// in or TLS (RFC 4954 section 6), at whatever stage.
var wantsAuth = []int{530, 534, 535, 538}

// ofReply decides by the relay's code and how far the conversation had come:
// a 5xx is about the recipient only from RCPT on, before it is about us.
func ofReply(stage Stage, reply *smtp.SMTPError) Result {
	switch {
	case reply.Code/100 == 2 && stage == StageDot:
		return Sent // completed, if in other words than 250
	case reply.Code/100 == 4:
		return TryLater
	case reply.Code/100 != 5 && stage == StageDot:
		return Unknown
	case reply.Code/100 != 5:
		return TryLater // out of step; the next connection may not be
	case slices.Contains(wantsAuth, reply.Code):
		return Misconfigured
	case stage == StageMail && reply.Code == 552:
		return Refused // this mail is too large; others may not be
	case stage == StageRcpt && relayingDenied(reply):
		return Misconfigured
	case stage == StageRcpt || stage == StageData || stage == StageDot:
		return Refused
	}
	return Misconfigured
}

// relayingDenied recognises a relay that doesn't know us: a 5.7 status (policy)
// that speaks of relaying, as Postfix, Exim and Exchange word it.
func relayingDenied(reply *smtp.SMTPError) bool {
	return reply.EnhancedCode[1] == 7 && strings.Contains(strings.ToLower(reply.Message), "relay")
}

func words(reply *smtp.SMTPError) string {
	text := strings.Join(strings.Fields(reply.Message), " ")
	text = text[:min(len(text), 300)]
	if e := reply.EnhancedCode; e[0] > 0 {
		return fmt.Sprintf("%d %d.%d.%d %s", reply.Code, e[0], e[1], e[2], text)
	}
	return fmt.Sprintf("%d %s", reply.Code, text)
}

func advice(result Result, stage Stage, code int) string {
	switch {
	case result == Refused && (stage == StageRcpt || stage == StageData):
		return "; check the person's address"
	case result == Refused:
		return "; ask whoever runs the relay why it won't take this mail"
	case result != Misconfigured:
		return ""
	case stage == StageAuth || slices.Contains(wantsAuth, code):
		return "; check the user and the password file, and whether the relay wants TLS"
	case stage == StageMail:
		return "; check the programme's sender address, and that the relay lets this machine send with it"
	case stage == StageRcpt:
		return "; the relay doesn't pass on mail from this machine: set a user and password, or ask whoever runs it to allow the machine"
	}
	return "; check the relay's address and the name we greet it with, or ask whoever runs it"
}
