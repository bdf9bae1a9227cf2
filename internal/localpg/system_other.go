//go:build unix && !linux

package localpg

import (
	"os/exec"
	"strconv"
	"strings"
	"syscall"
)

// become makes cmd run as the account, in its own process group so that a
// Ctrl-C reaches us first. There is no signal at our death here: a server left
// over is found and stopped at the next start.
func (a account) become(cmd *exec.Cmd, dir string) {
	cmd.Dir = dir
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	if a.switched {
		cmd.SysProcAttr.Credential = &syscall.Credential{Uid: uint32(a.uid), Gid: uint32(a.gid)}
	}
	cmd.Env = cleanEnv()
}

// serves reports whether a process is a PostgreSQL on a data folder: its
// command line names it. Other processes that got the same number don't.
func serves(pid int, data string) bool {
	out, err := exec.Command("ps", "-ww", "-o", "command=", "-p", strconv.Itoa(pid)).Output()
	return err == nil && strings.Contains(string(out), "postgres -D "+data+" ")
}

// localDisk refuses nothing here: these systems name file systems each in its
// own way.
func localDisk(string) error { return nil }
