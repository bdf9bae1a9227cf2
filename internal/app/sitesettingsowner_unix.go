//go:build unix

package app

import (
	"errors"
	"os"
	"syscall"
)

// keepOwner gives a file the owner and group of another one as far as we may:
// root both, others a group that they are in.
func keepOwner(f *os.File, was os.FileInfo) {
	owner, ok := was.Sys().(*syscall.Stat_t)
	if !ok || f.Chown(int(owner.Uid), int(owner.Gid)) == nil {
		return
	}
	_ = f.Chown(-1, int(owner.Gid)) // else it is ours, which is who wrote it
}

func isReadOnly(err error) bool { return errors.Is(err, syscall.EROFS) }
