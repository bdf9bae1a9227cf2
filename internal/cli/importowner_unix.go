//go:build unix

package cli

import (
	"io/fs"
	"os"
	"syscall"
)

// keepOwner gives a file the owner of another, so that root, who corrects a
// file of the program's user, doesn't lock that user out. Whoever isn't root
// can only have files of their own.
func keepOwner(path string, as fs.FileInfo) error {
	stat, ok := as.Sys().(*syscall.Stat_t)
	if !ok || os.Geteuid() != 0 {
		return nil
	}
	return os.Chown(path, int(stat.Uid), int(stat.Gid))
}
