package localpg

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
)

// longestSocket is the longest path that a socket can have on every system
// that we know (104 bytes with the closing zero on macOS, 108 on Linux).
const longestSocket = 103

// plainPath is a path that needs no quotes in PostgreSQL's settings, which
// part folders at commas.
var plainPath = regexp.MustCompile(`^[A-Za-z0-9_./+-]+$`)

// resolve gives the absolute path of a folder without symbolic links, since a
// running server is known by it. Folders above it are made.
func resolve(dir string) (string, error) {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return "", fmt.Errorf("looking for the database's folder %s: %w (name it from the root on with --state DIR)", dir, err)
	}
	if err := os.MkdirAll(filepath.Dir(abs), 0o711); err != nil {
		return "", fmt.Errorf("making the folder for the database: %w (choose a place that you may write to with --state DIR)", err)
	}
	real, err := filepath.EvalSymlinks(filepath.Dir(abs))
	if err != nil {
		return "", fmt.Errorf("looking for the database's folder: %w (choose another place with --state DIR)", err)
	}
	real = filepath.Join(real, filepath.Base(abs))
	if _, err := os.Lstat(real); err == nil {
		if real, err = filepath.EvalSymlinks(real); err != nil {
			return "", fmt.Errorf("looking for the database's folder: %w (choose another place with --state DIR)", err)
		}
	}
	return real, nil
}

// socketFolder is where the socket is: in the database's folder, or, where
// that path is no good for a socket, in a closed folder of its own among the
// temporary ones, always the same.
func socketFolder(p place) (string, error) {
	sockets := filepath.Join(p.dir, "socket")
	if len(sockets)+len("/.s.PGSQL.5432.lock") > longestSocket || !plainPath.MatchString(sockets) {
		sum := sha256.Sum256([]byte(p.dir))
		sockets = filepath.Join(os.TempDir(), "budcall-"+hex.EncodeToString(sum[:8]))
		if err := p.acc.trusted(sockets); err != nil {
			return "", err
		}
	}
	return sockets, p.acc.own(sockets)
}

// trusted refuses a folder among the temporary ones that somebody else put
// there: a link or another user's folder could lead us to a server of his.
func (a account) trusted(dir string) error {
	info, err := os.Lstat(dir)
	if os.IsNotExist(err) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("looking at the folder of the socket: %w (remove it, then start again)", err)
	}
	if uid, ok := owner(info); !info.IsDir() || !ok || uid != a.uid && uid != os.Geteuid() {
		return fmt.Errorf("%s, the folder for the database's socket, was made by somebody else: remove it, or choose a shorter place with --state DIR", dir)
	}
	return nil
}

// address is how pgx reaches a database by its socket. The port is said, lest
// PGPORT leads elsewhere.
func address(sockets, name string) string { return Address(sockets, "5432", name) }

// Address is how pgx reaches a database of a private PostgreSQL whose socket is
// in a folder, at a port.
func Address(sockets, port, name string) string {
	return "postgres:///" + name + "?" + url.Values{"host": {sockets}, "port": {port}, "user": {database}, "sslmode": {"disable"}}.Encode()
}
