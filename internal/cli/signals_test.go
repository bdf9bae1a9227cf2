package cli_test

import (
	"bufio"
	"context"
	"net"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"budcall/internal/cli"
	"budcall/internal/mail"
)

func TestTheFirstSignalStopsWorkAndTheSecondEndsAtOnce(t *testing.T) {
	working, closing, stop := cli.Listen(context.Background())
	defer stop()
	// A signal to the own process may come to another thread and late; one that
	// came after its listener stopped would end the whole test program.
	arrived := make(chan os.Signal, 1)
	signal.Notify(arrived, syscall.SIGHUP, syscall.SIGTERM, syscall.SIGINT)
	raise := func(s syscall.Signal) {
		t.Helper()
		if err := syscall.Kill(os.Getpid(), s); err != nil {
			t.Fatal(err)
		}
		if got := <-arrived; got != s {
			t.Fatalf("%v arrived, %v was sent", got, s)
		}
	}
	raise(syscall.SIGHUP) // ends neither
	raise(syscall.SIGTERM)
	<-working.Done()
	if closing.Err() != nil {
		t.Fatal("the first signal leaves no time to finish what is in flight")
	}
	raise(syscall.SIGINT)
	<-closing.Done()
}

// The program as systemd runs it: it says when it is ready and when it stops,
// takes SIGHUP as "look at the configuration again", and ends well on SIGTERM.
func TestSystemdIsToldAndItsSignalsAreObeyed(t *testing.T) {
	sink, err := mail.ServeSink(t.Context(), mail.SinkOptions{})
	if err != nil {
		t.Fatal(err)
	}
	conf := filepath.Join(t.TempDir(), "conf")
	if err := writeExample(conf, sink.Addr()); err != nil {
		t.Fatal(err)
	}
	dir, err := os.MkdirTemp("", "budcall-systemd-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	if err := os.Chmod(dir, 0o711); err != nil {
		t.Fatal(err)
	}
	socket := filepath.Join(dir, "notify")
	systemd, err := net.ListenUnixgram("unixgram", &net.UnixAddr{Name: socket, Net: "unixgram"})
	if err != nil {
		t.Fatal(err)
	}
	defer systemd.Close()

	cmd := exec.CommandContext(t.Context(), "budcall", "run", conf, "--state", filepath.Join(dir, "state"), "--log", "json")
	cmd.Env = append(os.Environ(), "NOTIFY_SOCKET="+socket)
	log, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	hear(t, systemd, "READY=1")
	if err := os.WriteFile(filepath.Join(conf, "people.yml"), []byte("persons: []\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	send(t, cmd, syscall.SIGHUP)
	var said strings.Builder
	lines := bufio.NewScanner(log)
	for lines.Scan() && !strings.Contains(said.String(), "people.yml:1") {
		said.WriteString(lines.Text() + "\n")
	}
	if !strings.Contains(said.String(), "the configuration is not accepted") {
		t.Errorf("the bad configuration isn't told:\n%s", &said)
	}
	send(t, cmd, syscall.SIGTERM)
	hear(t, systemd, "STOPPING=1")
	for lines.Scan() { // else it may stand still on a full pipe
	}
	if err := cmd.Wait(); err != nil {
		t.Errorf("stopped by SIGTERM it ended badly: %v\n%s", err, &said)
	}
}

func send(t *testing.T, cmd *exec.Cmd, s syscall.Signal) {
	t.Helper()
	if err := cmd.Process.Signal(s); err != nil {
		t.Fatal(err)
	}
}

// hear waits for a state to be told to systemd.
func hear(t *testing.T, systemd *net.UnixConn, want string) {
	t.Helper()
	if err := systemd.SetReadDeadline(time.Now().Add(patience)); err != nil {
		t.Fatal(err)
	}
	buffer := make([]byte, 256)
	for {
		n, err := systemd.Read(buffer)
		if err != nil {
			t.Fatalf("waiting for %s: %v", want, err)
		}
		if string(buffer[:n]) == want {
			return
		}
	}
}
