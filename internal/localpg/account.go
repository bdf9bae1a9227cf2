package localpg

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
)

// account is the operating system's user that PostgreSQL runs as.
type account struct {
	name     string
	uid, gid int
	switched bool // it isn't ours: we are root and run PostgreSQL as somebody else
}

// pickAccount gives our own account, or, for root, the one named: PostgreSQL
// refuses to run as root.
func pickAccount(name string) (account, error) {
	if os.Geteuid() != 0 {
		return account{name: userName(os.Geteuid()), uid: os.Geteuid(), gid: os.Getegid()}, nil
	}
	u, err := user.Lookup(name)
	if err != nil {
		return account{}, fmt.Errorf("PostgreSQL can't run as root, and there is no user %q to run it as: %w (make one with `useradd --system %s`, or run budcall as another user)", name, err, name)
	}
	uid, err1 := strconv.Atoi(u.Uid)
	gid, err2 := strconv.Atoi(u.Gid)
	if err1 != nil || err2 != nil || uid == 0 {
		return account{}, fmt.Errorf("PostgreSQL can't run as the user %q (number %s): name an ordinary one", name, u.Uid)
	}
	return account{name: name, uid: uid, gid: gid, switched: true}, nil
}

// userName is the name of a user; his number where nobody knows a name, as in
// a container.
func userName(uid int) string {
	if u, err := user.LookupId(strconv.Itoa(uid)); err == nil {
		return u.Username
	}
	return strconv.Itoa(uid)
}

// own makes a folder that only the account can use.
func (a account) own(dir string) error {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fmt.Errorf("making %s: %w (choose a place that you may write to with --state DIR)", dir, err)
	}
	if a.switched {
		if err := os.Chown(dir, a.uid, a.gid); err != nil {
			return fmt.Errorf("giving %s to the user %s: %w (choose another place with --state DIR)", dir, a.name, err)
		}
	}
	if err := os.Chmod(dir, 0o700); err != nil {
		return fmt.Errorf("closing %s to others: %w (it must belong to the user %s; or choose another place with --state DIR)", dir, err, a.name)
	}
	return nil
}

// holds refuses a data folder of another user, which PostgreSQL would refuse
// with less to go by.
func (a account) holds(data string) error {
	info, err := os.Stat(data)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("looking at %s: %w (run budcall as the user that made it, or choose another place with --state DIR)", data, err)
	}
	if uid, ok := owner(info); ok && uid != a.uid {
		return fmt.Errorf("%s belongs to the user %s, and PostgreSQL would run as %s: run budcall as %[2]s, or give it over with `chown -R %[3]s %[4]s` (nothing was changed)", data, userName(uid), a.name, filepath.Dir(data))
	}
	return nil
}

// owner is the number of the user to whom a file belongs.
func owner(info os.FileInfo) (uid int, ok bool) {
	stat, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return 0, false
	}
	return int(stat.Uid), true
}

// reaches refuses a place that the account can't get to, as the home of root
// is closed to others. It tries, since modes alone don't tell (access lists).
func (a account) reaches(bin binaries, dir string) error {
	if !a.switched {
		return nil
	}
	cmd := exec.Command(filepath.Join(bin.dir, "postgres"), "--version")
	err := a.run(cmd, filepath.Dir(dir))
	if err == nil {
		return nil
	}
	if closed := a.closed(filepath.Dir(dir)); closed != "" {
		return fmt.Errorf("the user %s, as whom PostgreSQL runs, can't reach %s since %s is closed to it: choose another place with --state DIR, for example /var/lib/budcall", a.name, dir, closed)
	}
	if closed := a.closed(bin.dir); closed != "" {
		return fmt.Errorf("the user %s, as whom PostgreSQL runs, can't reach its programs in %s since %s is closed to it: name another folder in BUDCALL_PG_BIN", a.name, bin.dir, closed)
	}
	return fmt.Errorf("running %s in %s as the user %s: %w (choose another place with --state DIR, or other programs with BUDCALL_PG_BIN)", cmd.Path, filepath.Dir(dir), a.name, err)
}

// closed gives the first folder on the way to dir that the account can't pass,
// by its mode; empty if there is none.
func (a account) closed(dir string) string {
	up := filepath.Dir(dir)
	if up != dir {
		if closed := a.closed(up); closed != "" {
			return closed
		}
	}
	info, err := os.Stat(dir)
	if err != nil {
		return ""
	}
	stat, ok := info.Sys().(*syscall.Stat_t)
	pass := os.FileMode(0o001)
	switch {
	case !ok:
		return ""
	case int(stat.Uid) == a.uid:
		pass = 0o100
	case int(stat.Gid) == a.gid:
		pass = 0o010
	}
	if info.Mode().Perm()&pass == 0 {
		return dir
	}
	return ""
}

// cleanEnv is our environment without what would lead PostgreSQL elsewhere.
func cleanEnv() []string {
	env := slices.DeleteFunc(os.Environ(), func(v string) bool {
		return strings.HasPrefix(v, "PG") || strings.HasPrefix(v, "LC_") || strings.HasPrefix(v, "LANG")
	})
	return append(env, "LC_ALL=C.UTF-8")
}
