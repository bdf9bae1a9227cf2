package localpg

import (
	"fmt"
	"os"
	"os/exec"
	"syscall"
)

// become makes cmd run as the account, in its own process group so that a
// Ctrl-C reaches us first, and ended by the kernel (fast shutdown) if we die.
func (a account) become(cmd *exec.Cmd, dir string) {
	cmd.Dir = dir
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true, Pdeathsig: syscall.SIGINT}
	if a.switched {
		cmd.SysProcAttr.Credential = &syscall.Credential{Uid: uint32(a.uid), Gid: uint32(a.gid)}
	}
	cmd.Env = cleanEnv()
}

// serves reports whether a process is a PostgreSQL on a data folder: it works
// in that folder. Other processes that got the same number don't.
func serves(pid int, data string) bool {
	cwd, err := os.Readlink(fmt.Sprintf("/proc/%d/cwd", pid))
	return err == nil && cwd == data
}

// networkDisks are file systems that don't keep the promises a database needs
// (statfs(2) gives the numbers).
var networkDisks = map[uint32]string{0x6969: "NFS", 0x517B: "SMB", 0xFF534D42: "CIFS", 0xFE534D42: "SMB"}

// localDisk refuses a folder on a network file system.
func localDisk(dir string) error {
	var disk syscall.Statfs_t
	if err := syscall.Statfs(dir, &disk); err != nil {
		return fmt.Errorf("looking at the disk of %s: %w (choose another place with --state DIR)", dir, err)
	}
	if kind := networkDisks[uint32(disk.Type)]; kind != "" {
		return fmt.Errorf("%s is on a network file system (%s), where a database isn't safe: choose a place on a local disk with --state DIR", dir, kind)
	}
	return nil
}
