package inbox_test

import (
	"net"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
	"time"
)

// account looks a user up; the test is skipped where there is none.
func account(t *testing.T, name string) (uid, gid uint32) {
	t.Helper()
	u, err := user.Lookup(name)
	if err != nil {
		t.Skipf("there is no user %s, as whom the mail server would run: install Debian's packages postfix and dovecot-imapd", name)
	}
	id, err1 := strconv.ParseUint(u.Uid, 10, 32)
	group, err2 := strconv.ParseUint(u.Gid, 10, 32)
	if err1 != nil || err2 != nil {
		t.Fatalf("the user %s has the numbers %s and %s", name, u.Uid, u.Gid)
	}
	return uint32(id), uint32(group)
}

// program looks for a program of the mail servers.
func program(t *testing.T, name, pkg string) string {
	t.Helper()
	for _, dir := range []string{"/usr/sbin", "/usr/lib/postfix/sbin", "/usr/local/sbin"} {
		if path := filepath.Join(dir, name); exists(path) {
			return path
		}
	}
	t.Skipf("%s isn't on this machine, so this isn't tried against the real thing: install Debian's package %s", name, pkg)
	return ""
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// daemon starts a server in the foreground and ends it, with all its
// processes, at the end of the test. Its log is shown if the test fails.
func daemon(t *testing.T, cmd *exec.Cmd, logs ...string) {
	t.Helper()
	if cmd.SysProcAttr == nil {
		cmd.SysProcAttr = &syscall.SysProcAttr{}
	}
	cmd.SysProcAttr.Setpgid, cmd.SysProcAttr.Pdeathsig = true, syscall.SIGTERM
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan struct{})
	go func() { _ = cmd.Wait(); close(ended) }()
	t.Cleanup(func() {
		_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGTERM)
		select {
		case <-ended:
		case <-time.After(10 * time.Second):
			_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL)
			<-ended
		}
		if t.Failed() {
			for _, log := range logs {
				body, _ := os.ReadFile(log)
				t.Logf("%s:\n%s", log, body)
			}
		}
	})
}

// freePort gives a port of loopback that was free a moment ago.
func freePort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	_, port, _ := net.SplitHostPort(l.Addr().String())
	return port
}

// answers waits until somebody greets on an address.
func answers(t *testing.T, addr string) {
	t.Helper()
	until := time.Now().Add(patience)
	for time.Now().Before(until) {
		conn, err := net.DialTimeout("tcp", addr, time.Second)
		if err != nil {
			time.Sleep(20 * time.Millisecond) // nothing tells when a foreign server is up but trying
			continue
		}
		_ = conn.SetReadDeadline(time.Now().Add(5 * time.Second))
		_, err = conn.Read(make([]byte, 1))
		conn.Close()
		if err == nil {
			return
		}
	}
	t.Fatalf("nobody greeted on %s in 20 s", addr)
}
