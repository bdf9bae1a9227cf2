package inbox

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"syscall"
	"time"
)

// CheckAddress tells whether we may listen on an address: host:port on
// loopback, or the absolute path of a unix socket. What comes in there comes
// from a mail server of this machine, which has done the checks of the world.
func CheckAddress(addr string) error {
	if filepath.IsAbs(addr) {
		return nil
	}
	at, err := netip.ParseAddrPort(addr)
	if err != nil || !at.Addr().IsLoopback() {
		return fmt.Errorf("%q is neither an address on loopback nor the full path of a socket: write for example 127.0.0.1:2424 or /run/budcall/inbox.sock, and let a mail server hand the replies over there", addr)
	}
	return nil
}

// open listens on a checked address. A socket left behind by a program that is
// gone is replaced; anything else in its place is left alone.
func open(ctx context.Context, addr string) (net.Listener, error) {
	if !filepath.IsAbs(addr) {
		l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", addr)
		if err != nil {
			return nil, fmt.Errorf("listening for replies on %s: %w: choose another port, or stop what uses this one", addr, err)
		}
		return l, nil
	}
	if err := clear(ctx, addr); err != nil {
		return nil, err
	}
	l, err := (&net.ListenConfig{}).Listen(ctx, "unix", addr)
	if err != nil {
		return nil, fmt.Errorf("listening for replies on the socket %s: %w: choose a folder that budcall may write to", addr, err)
	}
	// The mail server is another user; who may come near is up to the folder.
	if err := os.Chmod(addr, 0o666); err != nil {
		l.Close()
		return nil, fmt.Errorf("opening the socket %s to the mail server: %w: choose a folder that belongs to budcall", addr, err)
	}
	return l, nil
}

// clear removes a socket on which nobody listens.
func clear(ctx context.Context, path string) error {
	info, err := os.Lstat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("looking at the socket %s: %w: choose another place", path, err)
	}
	if info.Mode().Type() != fs.ModeSocket {
		return fmt.Errorf("%s is in the way of the socket for replies and isn't a socket: move it away, or choose another place (nothing was changed)", path)
	}
	conn, err := (&net.Dialer{Timeout: 5 * time.Second}).DialContext(ctx, "unix", path)
	if err == nil {
		conn.Close()
		return fmt.Errorf("another program listens on %s already: stop it, or choose another place", path)
	}
	if !errors.Is(err, syscall.ECONNREFUSED) {
		return fmt.Errorf("asking whether somebody listens on %s: %w: remove it if not, or choose another place", path, err)
	}
	if err := os.Remove(path); err != nil {
		return fmt.Errorf("removing the socket %s that was left behind: %w: remove it by hand", path, err)
	}
	return nil
}
