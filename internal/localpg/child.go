package localpg

import (
	"bufio"
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"syscall"
	"time"
)

// child is the postgres process.
type child struct {
	cmd   *exec.Cmd
	done  chan struct{} // closed when it has ended
	heard chan struct{} // closed when its log has ended

	mu   sync.Mutex
	last []string // its last lines
}

// settings are those of a private PostgreSQL as arguments, in order. Its log
// carries no statements and no values, since people stand in them.
func settings(sockets string, more map[string]string) []string {
	all := map[string]string{
		"listen_addresses": "", "port": "5432", "unix_socket_directories": sockets, "unix_socket_permissions": "0700",
		"max_connections": "60", "shared_buffers": "32MB", "log_timezone": "UTC", "timezone": "UTC",
		"logging_collector": "off", "log_destination": "stderr", "log_line_prefix": "%e ", "lc_messages": "C",
		"log_min_messages": "warning", "log_error_verbosity": "terse", "log_min_error_statement": "panic",
	}
	for name, value := range more {
		all[name] = value
	}
	var args []string
	for name, value := range all {
		args = append(args, "--"+name+"="+value)
	}
	slices.Sort(args)
	return args
}

// launch starts postgres as our child, which takes held over. It is ended with
// us, however we end: the kernel signals it when the thread that started it
// dies, so that thread stays for as long as the child lives.
func launch(p place, args []string, held *os.File, log *slog.Logger) (*child, error) {
	out, in, err := os.Pipe()
	if err != nil {
		return nil, fmt.Errorf("preparing the private PostgreSQL: %w", err)
	}
	cmd := exec.Command(filepath.Join(p.bin.dir, "postgres"), append([]string{"-D", p.data}, args...)...)
	cmd.Stderr, cmd.ExtraFiles = in, []*os.File{held}
	p.acc.become(cmd, p.data)
	c := &child{cmd: cmd, done: make(chan struct{}), heard: make(chan struct{})}
	started := make(chan error)
	go func() {
		runtime.LockOSThread() // never unlocked: the thread ends with the goroutine
		err := cmd.Start()
		started <- err
		if err == nil {
			_ = cmd.Wait() // how it ended stands in cmd.ProcessState
			close(c.done)
		}
	}()
	err = <-started
	in.Close()
	if err != nil {
		out.Close()
		return nil, fmt.Errorf("starting %s as the user %s: %w (choose other programs with BUDCALL_PG_BIN)", cmd.Path, p.acc.name, err)
	}
	go c.listen(out, log)
	return c, nil
}

// longestLine is how much of a line of PostgreSQL's log is passed on.
const longestLine = 4096

// listen passes PostgreSQL's log on until it ends. It reads on whatever comes:
// a server whose log nobody reads stands still.
func (c *child) listen(out *os.File, log *slog.Logger) {
	defer close(c.heard)
	defer out.Close()
	lines := bufio.NewReaderSize(out, longestLine)
	for {
		line, rest, err := lines.ReadLine()
		if text := strings.TrimSpace(string(line)); text != "" {
			c.mu.Lock()
			c.last = append(c.last[max(0, len(c.last)-4):], text)
			c.mu.Unlock()
			passOn(log, text)
		}
		for rest && err == nil {
			_, rest, err = lines.ReadLine()
		}
		if err != nil {
			return
		}
	}
}

// lastWords are the last lines of an ended server's log, each on its line.
func (c *child) lastWords() string {
	select {
	case <-c.heard:
	case <-time.After(time.Second): // a process of its own may hold the log open
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(c.last) == 0 {
		return ""
	}
	return "; its last words:\n" + strings.Join(c.last, "\n")
}

func (c *child) ended() bool {
	select {
	case <-c.done:
		return true
	default:
		return false
	}
}

func (c *child) signal(s syscall.Signal) {
	_ = c.cmd.Process.Signal(s) // it may have ended already
}
