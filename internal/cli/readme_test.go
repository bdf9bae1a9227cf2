package cli_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"budcall/internal/mail"
)

// commandsOf gives the command lines that README shows, in order.
func commandsOf(t *testing.T) (lines []string) {
	t.Helper()
	body, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(body)) {
		if cmd, ok := strings.CutPrefix(line, "    "); ok {
			lines = append(lines, strings.TrimSpace(cmd))
		}
	}
	return lines
}

// elsewhere are the commands of README that other tests run, and which.
var elsewhere = map[string]string{
	"sh deploy/demo.sh":  "TestTheSeasonIsPlayed of internal/demo plays what it plays; the script itself is run by hand and in CI",
	"sh deploy/test.sh":  "runs this very test",
	"sh deploy/bench.sh": "measures for minutes; it is run by hand",

	// On a server that is set up, by an administrator at a terminal.
	"groupadd --system budcall-sites":                     "makes a group on the machine; TestAcceptedIntoTheFolder of internal/app has the owners and modes",
	"chgrp -R budcall-sites /etc/budcall/sites":           "as above",
	"chmod -R g+rwX /etc/budcall/sites":                   "as above",
	"systemctl edit budcall     # [Service]":              "opens an editor; systemd-analyze judges the unit in internal/metrics",
	"# SupplementaryGroups=budcall-sites":                 "what is written in that editor",
	"# ReadWritePaths=/etc/budcall/sites":                 "as above",
	"budcall check /etc/budcall/north /etc/budcall/south": "TestScripts/programmes checks and runs two folders",
	"budcall run /etc/budcall/north /etc/budcall/south":   "as above",
}

// README's commands, as written and in its order, from the top of the tree:
// the daemon goes on while the commands after it are run.
func TestEveryCommandOfReadmeWorks(t *testing.T) {
	bin, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	// The example's relay is a sink on this port.
	sink, err := mail.ServeSink(t.Context(), mail.SinkOptions{Addr: "127.0.0.1:2525"})
	if err != nil {
		t.Fatal(err)
	}
	state, err := os.MkdirTemp("", "budcall-readme-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(state) })
	if err := os.Chmod(state, 0o711); err != nil {
		t.Fatal(err)
	}
	env := append(os.Environ(), "STATE_DIRECTORY="+state)
	var running *exec.Cmd
	defer func() {
		if running == nil {
			return
		}
		if err := running.Process.Signal(syscall.SIGTERM); err != nil {
			t.Error(err)
		}
		if err := running.Wait(); err != nil {
			t.Errorf("the daemon did not stop in good order: %v", err)
		}
	}()
	for line := range elsewhere {
		if !slices.Contains(commandsOf(t), line) {
			t.Errorf("README no longer shows %q: delete it here", line)
		}
	}
	for _, line := range commandsOf(t) {
		if _, ok := elsewhere[line]; ok {
			continue
		}
		t.Run(line, func(t *testing.T) {
			said := strings.Replace(line, "./budcall ", bin+" ", 1)
			if strings.HasPrefix(line, "go build ") { // built already, outside the tree
				said = strings.Replace(line, "go build ", "go build -o "+filepath.Join(t.TempDir(), "budcall")+" ", 1)
			}
			cmd := exec.Command("sh", "-c", "exec "+said) // as somebody would type it, quotes and all
			cmd.Dir, cmd.Env = "../..", env
			var out bytes.Buffer
			cmd.Stdout, cmd.Stderr = &out, &out
			if strings.HasPrefix(line, "./budcall run") {
				running = cmd
				daemon(t, cmd, state)
				return
			}
			if err := cmd.Run(); err != nil {
				t.Errorf("%v\n%s", err, out.String())
			}
		})
	}
	if n := len(sink.Mails()); n == 0 {
		t.Error("the test mail did not arrive")
	}
}

// daemon starts the daemon and waits until it has worked off its first slot.
func daemon(t *testing.T, cmd *exec.Cmd, state string) {
	t.Helper()
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	dsn := "postgres:///budcall?host=" + filepath.Join(state, "pg", "socket") + "&user=budcall"
	for deadline := time.Now().Add(time.Minute); ; time.Sleep(50 * time.Millisecond) {
		if count(dsn, "select count(*)::int from run where phase = 'done'") > 0 {
			break
		}
		if time.Now().After(deadline) {
			t.Fatalf("the daemon got nowhere:\n%v", cmd.Stdout)
		}
	}
}
