package inbox

import (
	"errors"
	"fmt"
	"strings"

	"github.com/emersion/go-imap/v2"
)

// putAway does with a kept message what is wished. A server without MOVE (RFC
// 6851) gets it marked as read instead: the client's stand-in is a copy, a
// mark to delete and an EXPUNGE sent without waiting for the copy, which could
// lose this message and would delete others.
func (p *Poller) putAway(m *mailbox, uid uint32) error {
	after, set := p.options.After, imap.UIDSetNum(imap.UID(uid))
	if after == Move && m.canMove {
		return m.move(set, p.options.Folder)
	}
	if after == Leave {
		return nil
	}
	if err := m.client.Store(set, &imap.StoreFlags{Op: imap.StoreFlagsAdd, Silent: true, Flags: []imap.Flag{imap.FlagSeen}}, nil).Close(); err != nil {
		return fmt.Errorf("marking it as read: %w", answered(err))
	}
	if after == Move {
		return errors.New("the server can't move mails (RFC 6851), so it is marked as read: choose seen instead of move")
	}
	return nil
}

// move moves into a folder, which is made where there is none.
func (m *mailbox) move(set imap.UIDSet, folder string) error {
	_, err := m.client.Move(set, folder).Wait()
	var said *imap.Error
	if errors.As(err, &said) && (said.Code == imap.ResponseCodeTryCreate || said.Code == imap.ResponseCodeNonExistent) {
		if err := m.client.Create(folder, nil).Wait(); err != nil {
			return fmt.Errorf("making the folder %q: %w: make it by hand", folder, answered(err))
		}
		_, err = m.client.Move(set, folder).Wait()
	}
	if err != nil {
		return fmt.Errorf("moving it to %q: %w", folder, answered(err))
	}
	return nil
}

// bare gives an address without its brackets.
func bare(path string) string { return strings.Trim(strings.TrimSpace(path), "<>") }
