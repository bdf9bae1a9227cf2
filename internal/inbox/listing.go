package inbox

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"time"

	"github.com/emersion/go-imap/v2"
)

// listed is a message of the mailbox before it is fetched.
type listed struct {
	uid  uint32
	size int64
	at   time.Time // when the mailbox got it
}

// list gives the messages after a UID, ascending, and those of left that are
// still there.
func (m *mailbox) list(after uint32, left []uint32) ([]listed, error) {
	var set imap.UIDSet
	set.AddRange(imap.UID(after)+1, 0)
	for _, uid := range left {
		set.AddNum(imap.UID(uid))
	}
	wanted := func(uid uint32) bool { return uid > after || slices.Contains(left, uid) }
	cmd := m.client.Fetch(set, &imap.FetchOptions{UID: true, RFC822Size: true, InternalDate: true})
	all, err := cmd.Collect()
	if err != nil {
		return nil, fmt.Errorf("listing the mails: %w", answered(err))
	}
	var out []listed
	for _, msg := range all {
		// "n:*" names the last message even where its UID is below n.
		if uid := uint32(msg.UID); wanted(uid) {
			out = append(out, listed{uid: uid, size: msg.RFC822Size, at: msg.InternalDate.UTC()})
		}
	}
	slices.SortFunc(out, func(a, b listed) int { return cmp.Compare(a.uid, b.uid) })
	return slices.CompactFunc(out, func(a, b listed) bool { return a.uid == b.uid }), nil
}

// maxHeader is how much is fetched of a message that is too large.
const maxHeader = 256 << 10

// fetch gives a message's bytes without marking it as read; of a larger one
// its header. It is in memory before anything else is done with it: the client
// doesn't wait for a slow reader.
func (m *mailbox) fetch(l listed, maxBytes int64) (raw []byte, cut bool, err error) {
	if cut = l.size > maxBytes; !cut {
		raw, err = m.section(l.uid, &imap.FetchItemBodySection{Peek: true}, maxBytes)
		return raw, false, err
	}
	raw, err = m.section(l.uid, &imap.FetchItemBodySection{
		Specifier: imap.PartSpecifierHeader, Peek: true, Partial: &imap.SectionPartial{Size: maxHeader},
	}, maxHeader)
	return raw, true, err
}

// section fetches one part of a message, and no more than limit bytes.
func (m *mailbox) section(uid uint32, section *imap.FetchItemBodySection, limit int64) (raw []byte, err error) {
	cmd := m.client.Fetch(imap.UIDSetNum(imap.UID(uid)), &imap.FetchOptions{UID: true, BodySection: []*imap.FetchItemBodySection{section}})
	got := false
	for msg := cmd.Next(); msg != nil; msg = cmd.Next() {
		for item := msg.Next(); item != nil; item = msg.Next() {
			body, ok := literalOf(item)
			if !ok || got {
				continue
			}
			if raw, err = m.literal(body, limit); err != nil {
				return nil, err
			}
			got = true
		}
	}
	if err := cmd.Close(); err != nil {
		return nil, answered(err)
	}
	if !got {
		return nil, errVanished
	}
	return raw, nil
}

// literal reads what the server sends of a message. Where that isn't whole, or
// more than was said, the connection is ended and its end waited for: the
// client would go on reading the same bytes as we, and takes a literal that
// was cut off for a whole one.
func (m *mailbox) literal(body imap.LiteralReader, limit int64) ([]byte, error) {
	raw, err := io.ReadAll(io.LimitReader(body, limit+1))
	switch {
	case int64(len(raw)) > limit:
		err = fmt.Errorf("the server says that the mail is smaller than the %d bytes that it sends of it", limit)
	case err != nil:
	case int64(len(raw)) != body.Size():
		err = io.ErrUnexpectedEOF
	default:
		return raw, nil
	}
	_ = m.conn.Close()
	if int64(len(raw)) > limit {
		_, _ = io.Copy(io.Discard, body) // lets the client see that the connection has ended
	}
	<-m.client.Closed()
	return nil, err
}
