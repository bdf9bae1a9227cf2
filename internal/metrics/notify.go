package metrics

import (
	"fmt"
	"net"
	"os"
	"time"
)

// Notify tells systemd a state, such as "READY=1", "STOPPING=1" or
// "WATCHDOG=1", over the datagram socket that NOTIFY_SOCKET names (a name that
// begins with @ is an abstract one). Where systemd doesn't run the program
// there is nobody to tell, and nothing happens.
func Notify(state string) error {
	name := os.Getenv("NOTIFY_SOCKET")
	if name == "" {
		return nil
	}
	conn, err := net.DialUnix("unixgram", nil, &net.UnixAddr{Name: name, Net: "unixgram"})
	if err != nil {
		return fmt.Errorf("telling systemd %s: %w (is NotifyAccess=main set in the unit?)", state, err)
	}
	defer conn.Close()
	// A full socket must not hold up the program.
	if err := conn.SetWriteDeadline(time.Now().Add(time.Second)); err != nil {
		return fmt.Errorf("telling systemd %s: %w", state, err)
	}
	if _, err := conn.Write([]byte(state)); err != nil {
		return fmt.Errorf("telling systemd %s: %w (is systemd's socket %s still there?)", state, err, name)
	}
	return nil
}
