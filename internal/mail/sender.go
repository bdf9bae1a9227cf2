package mail

import (
	"context"
	"errors"
	"fmt"
	"net"
	"strconv"

	"github.com/emersion/go-smtp"
)

// Options are what a Sender needs.
type Options struct {
	Relay Relay
	Pool  Pool
	// Dial connects; unset: the network. It must honour the context.
	Dial func(ctx context.Context, network, addr string) (net.Conn, error)
}

// Sender sends mails over a few connections that it keeps for a while. It is
// safe for concurrent use.
type Sender struct {
	relay Relay
	dial  func(ctx context.Context, network, addr string) (net.Conn, error)
	pool  *pool
}

// New makes a Sender. It connects when the first mail is sent.
func New(o Options) *Sender {
	o.Relay.Timeouts = o.Relay.Timeouts.orDefaults()
	if o.Dial == nil {
		o.Dial = (&net.Dialer{}).DialContext
	}
	return &Sender{relay: o.Relay, dial: o.Dial, pool: newPool(o.Pool)}
}

// Close says goodbye on the connections kept; a mail on its way is finished
// first by whoever sends it, and its connection closed then. Later sends are
// put off.
func (s *Sender) Close() { s.pool.close() }

// Send makes one attempt to hand the mail to the relay and says what came of
// it. It waits for a free connection first, and gives up when ctx ends.
//
// beforeDot, if there is one, is called when all of the mail but its final dot
// is on the way: before it the mail is surely not sent, after it perhaps. An
// error from it ends the attempt without the dot.
//
// A kept connection that breaks before the body is replaced at once, within
// the same attempt: relays close idle ones without a word.
func (s *Sender) Send(ctx context.Context, m Message, beforeDot func(context.Context) error) Outcome {
	if err := s.relay.Check(); err != nil {
		return Outcome{Result: Misconfigured, Stage: StageDial, Text: err.Error()}
	}
	if out, ok := m.check(); !ok {
		return out
	}
	kept, err := s.pool.take(ctx)
	if err != nil {
		return Outcome{Result: TryLater, Stage: StageDial, Text: fmt.Sprintf("stopped before the relay was called (%v)", err)}
	}
	defer s.pool.leave()
	if kept != nil {
		if out := s.converse(ctx, kept, m, beforeDot); !worthRedial(ctx, out) {
			return out
		}
	}
	fresh, out := s.open(ctx)
	if fresh == nil {
		return out
	}
	return s.converse(ctx, fresh, m, beforeDot)
}

// worthRedial tells whether a failure on a kept connection may be the
// connection's and not the mail's: it broke or was closed (421) before the
// body, or MAIL, which a new connection may be allowed, was refused.
func worthRedial(ctx context.Context, out Outcome) bool {
	if out.Result == Sent || out.Result == Refused || ctx.Err() != nil {
		return false
	}
	return out.Stage == StageMail || out.Stage == StageRcpt && (out.Code == 0 || out.Code == 421)
}

// converse sends the mail over a connection, and keeps the connection only if
// all went well: after an error the relay and we may be out of step, and the
// data writer must not be closed, as that would send the dot.
func (s *Sender) converse(ctx context.Context, c *session, m Message, beforeDot func(context.Context) error) Outcome {
	stop := context.AfterFunc(ctx, c.drop)
	out := s.transact(ctx, c, m, beforeDot)
	if unharmed := stop(); out.Result != Sent || !unharmed {
		c.drop()
		return out
	}
	c.mails++
	s.pool.keep(c)
	return out
}

func (s *Sender) transact(ctx context.Context, c *session, m Message, beforeDot func(context.Context) error) Outcome {
	opts, err := s.mailOptions(c.client, m)
	if err == nil {
		err = c.client.Mail(m.EnvelopeFrom, opts)
	}
	if err != nil {
		return s.failed(ctx, StageMail, err, false)
	}
	if err := c.client.Rcpt(m.To, nil); err != nil {
		return s.failed(ctx, StageRcpt, err, false)
	}
	body, err := c.client.Data()
	if err != nil {
		return s.failed(ctx, StageData, err, false)
	}
	if _, err := body.Write(m.Bytes); err != nil {
		return s.failed(ctx, StageData, err, false)
	}
	if err := readyForDot(ctx, beforeDot); err != nil {
		return Outcome{Result: TryLater, Stage: StageData, Text: fmt.Sprintf("stopped before the final dot (%v)", err)}
	}
	reply, err := body.CloseWithResponse()
	if err != nil {
		return s.afterDot(ctx, c, err)
	}
	return Outcome{Result: Sent, Code: 250, Text: reply.StatusText, RelayID: relayID(reply.StatusText), Stage: StageDot}
}

func readyForDot(ctx context.Context, beforeDot func(context.Context) error) error {
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	if beforeDot == nil {
		return nil
	}
	return beforeDot(ctx)
}

// afterDot: a 2xx other than 250 is a yes as well.
func (s *Sender) afterDot(ctx context.Context, c *session, err error) Outcome {
	out := s.failed(ctx, StageDot, err, c.conn.cut)
	var reply *smtp.SMTPError
	if out.Result == Sent && errors.As(err, &reply) {
		out.Text, out.RelayID = reply.Message, relayID(reply.Message)
	}
	return out
}

// mailOptions names the mail's size and whether its addresses need SMTPUTF8,
// and refuses what the relay has already said it won't take. Eight-bit bodies
// go as they are, also where 8BITMIME isn't offered: refusing them would lose
// more mails than sending them.
func (s *Sender) mailOptions(client *smtp.Client, m Message) (*smtp.MailOptions, error) {
	if most, ok := client.MaxMessageSize(); ok && most > 0 && len(m.Bytes) > most {
		return nil, fault{Refused, "the mail has " + strconv.Itoa(len(m.Bytes)) + " bytes, the relay takes at most " + strconv.Itoa(most) + ": have its limit raised"}
	}
	opts := &smtp.MailOptions{Size: int64(len(m.Bytes))}
	if !isASCII(m.EnvelopeFrom) || !isASCII(m.To) {
		if ok, _ := client.Extension("SMTPUTF8"); !ok {
			return nil, fault{Refused, "the relay takes only plain ASCII addresses (no SMTPUTF8): give the person another address"}
		}
		opts.UTF8 = true
	}
	return opts, nil
}
