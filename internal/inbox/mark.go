package inbox

import (
	"context"
	"slices"
)

// Place is how far a mailbox was read. UIDs hold for one UIDVALIDITY only (RFC
// 9051 section 2.3.1.1); under another the mailbox is read from its start, and
// what was kept before is recognised by its Key.
type Place struct {
	Validity uint32
	UID      uint32   // up to here every message was dealt with,
	Left     []uint32 // except these, ascending, which couldn't be read or kept; they are tried again
}

// Mark remembers the place in a mailbox. At gives the zero Place where nothing
// is known; after an error of either the mailbox is left alone until later.
type Mark interface {
	At(ctx context.Context, mailbox string) (Place, error)
	Set(ctx context.Context, mailbox string, p Place) error
}

// done gives the place after a message was dealt with.
func (p Place) done(uid uint32) Place {
	p.UID = max(p.UID, uid)
	p.Left = slices.DeleteFunc(slices.Clone(p.Left), func(u uint32) bool { return u == uid })
	return p
}

// leave gives the place after a message couldn't be dealt with.
func (p Place) leave(uid uint32) Place {
	p = p.done(uid)
	i, _ := slices.BinarySearch(p.Left, uid)
	p.Left = slices.Insert(p.Left, i, uid)
	return p
}
