package mail

import (
	"bytes"
	"errors"
	"net"
	"time"
)

// maxReply is how many bytes a relay may send without being asked anything
// more: a TLS handshake or a long EHLO reply is a tenth of it.
const maxReply = 64 << 10

var errEndlessReply = errors.New("it talks without end (more than 64 KiB in one reply)")

// timedConn gives every read and write a deadline. go-smtp sets one around a
// command, which holds; while a body is written it sets none, and a relay that
// stops reading would hold the writer for good.
type timedConn struct {
	net.Conn
	limit      time.Duration // of a read or write where the client has set no deadline
	longest    time.Duration // cap on the deadlines that the client sets; 0: none
	readUntil  time.Time     // zero: none set by the client
	writeUntil time.Time
	unasked    int  // bytes read since the last write
	startTLS   bool // the last write was the STARTTLS command
	cut        bool // the last write wasn't handed over whole
}

func (c *timedConn) Read(b []byte) (int, error) {
	if c.unasked > maxReply {
		return 0, errEndlessReply
	}
	if err := c.Conn.SetReadDeadline(c.deadline(c.readUntil)); err != nil {
		return 0, err
	}
	n, err := c.Conn.Read(b)
	c.unasked += n
	return n, err
}

func (c *timedConn) Write(b []byte) (int, error) {
	c.unasked = 0
	c.startTLS = bytes.HasPrefix(b, []byte("STARTTLS"))
	c.cut = true
	if err := c.Conn.SetWriteDeadline(c.deadline(c.writeUntil)); err != nil {
		return 0, err
	}
	n, err := c.Conn.Write(b)
	c.cut = n < len(b)
	return n, err
}

func (c *timedConn) deadline(set time.Time) time.Time {
	if set.IsZero() {
		return time.Now().Add(c.limit)
	}
	return set
}

// SetDeadline keeps the deadline for the reads and writes to come.
func (c *timedConn) SetDeadline(t time.Time) error {
	if soon := time.Now().Add(c.longest); c.longest > 0 && t.After(soon) {
		t = soon
	}
	c.readUntil, c.writeUntil = t, t
	return nil
}

// SetReadDeadline keeps the deadline for the reads to come.
func (c *timedConn) SetReadDeadline(t time.Time) error {
	c.readUntil = t
	return nil
}

// SetWriteDeadline keeps the deadline for the writes to come.
func (c *timedConn) SetWriteDeadline(t time.Time) error {
	c.writeUntil = t
	return nil
}
