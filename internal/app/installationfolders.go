package app

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"budcall/internal/config"
	"budcall/internal/postgres"
)

// settle finds which folder is which programme: by the code that it has, or,
// where that can't be read or was changed, by where it was accepted before.
func (i *Installation) settle(o Options, dirs []string) error {
	homes, err := noted(o.State)
	if err != nil {
		return err
	}
	claimed := map[string][]string{} // code: folders
	var folders []string
	for _, dir := range dirs {
		abs, err := filepath.Abs(dir)
		if err != nil {
			return fmt.Errorf("looking for the configuration: %w", err)
		}
		if slices.Contains(folders, abs) {
			return fmt.Errorf("%s is named twice: name each folder once", dir)
		}
		folders = append(folders, abs)
		code := codeOf(abs)
		claimed[code] = append(claimed[code], abs)
	}
	for _, dir := range folders {
		code := codeOf(dir)
		before := homes[dir]
		_, held := o.heldBefore(code)
		switch {
		case before == "" || before == code:
		case code == "", len(claimed[code]) > 1, !held:
			code = before
		}
		if code == "" {
			return unknown(dir)
		}
		if n := slices.IndexFunc(i.members, func(m *member) bool { return m.code == code }); n >= 0 {
			return fmt.Errorf("%s and %s are both the programme %s: give each its own code in programme.yml", i.members[n].opt.Dir, dir, code)
		}
		opt, held := o.heldBefore(code)
		opt.Dir, opt.Logger, opt.shared = dir, loggerOf(o.Logger, code), i.shared
		i.members = append(i.members, &member{code: code, opt: opt, held: held, in: i})
	}
	return nil
}

// unknown says why nobody can tell whose folder it is.
func unknown(dir string) error {
	_, problems, err := Load(dir)
	switch {
	case err != nil:
		return err
	case len(problems) > 0:
		return newUnfit(dir, problems)
	}
	return fmt.Errorf("%s was changed just now: start again", dir)
}

// heldBefore gives the options of a programme's home, and whether it was
// accepted there before.
func (o Options) heldBefore(code string) (Options, bool) {
	o = o.homeOf(code)
	return o, isHome(o.State)
}

// noted gives, by configuration folder, the code of the programme that was
// accepted from it last.
func noted(state string) (map[string]string, error) {
	all := map[string]string{}
	for _, code := range homesIn(state) {
		dir, err := notedFolder(filepath.Join(state, code))
		if err != nil {
			return nil, err
		}
		all[dir] = code
	}
	return all, nil
}

// fitTogether refuses a first start with a bad folder, or with programmes that
// need the same thing. Of a programme that was accepted before, what is in force
// stays so whatever its folder says.
func (i *Installation) fitTogether() error {
	var loaded []loadedFolder
	var bad []error
	for _, m := range i.members {
		l, problems, err := loadFolder(m.opt.Dir)
		switch {
		case err == nil && len(problems) == 0:
			problems = clashes(l, loaded)
			loaded = append(loaded, l)
			fresh := !m.held || slices.ContainsFunc(i.members, func(one *member) bool { return !one.held })
			if len(problems) > 0 && fresh {
				bad = append(bad, newUnfit(m.opt.Dir, problems))
			}
		case m.held:
		case err != nil:
			bad = append(bad, err)
		default:
			bad = append(bad, newUnfit(m.opt.Dir, problems))
		}
	}
	return errors.Join(bad...)
}

// rename takes a programme's memory over to its new code.
func (i *Installation) rename(ctx context.Context, renamed map[string]string) error {
	for _, m := range i.members {
		to, ok := renamed[m.code]
		if !ok || codeOf(m.opt.Dir) != to {
			continue
		}
		if _, taken := (Options{State: i.state}).heldBefore(to); taken {
			return fmt.Errorf("%s can't be called %s: another programme's state is in %s", m.code, to, filepath.Join(i.state, to))
		}
		if err := i.renameDatabase(ctx, databaseOf(m.code), databaseOf(to)); err != nil {
			return err
		}
		now := Options{State: i.state}.homeOf(to)
		if err := os.Rename(m.opt.State, now.State); err != nil {
			return fmt.Errorf("renaming the state of %s: %w (rename %s to %s by hand, then start again)", m.code, err, m.opt.State, now.State)
		}
		m.opt.State, m.opt.home, m.code = now.State, now.home, to
		m.opt.Logger = loggerOf(i.shared.local.Logger, to)
	}
	return nil
}

// renameDatabase gives a database of the private PostgreSQL another name, if
// there is one.
func (i *Installation) renameDatabase(ctx context.Context, from, to string) error {
	if _, err := os.Stat(filepath.Join(i.shared.local.Dir, "data", "PG_VERSION")); err != nil {
		return nil // no private PostgreSQL
	}
	server, err := i.shared.postgres(ctx)
	if err != nil {
		return err
	}
	there, err := server.Has(ctx, from)
	if err != nil || !there {
		return err
	}
	return server.Rename(ctx, from, to)
}

// adopt takes over the state of a programme that has had the folder to itself
// until now: its files go into a folder of its own, and its database gets its
// name. Whatever ends it on the way, the next start goes on with it.
func (i *Installation) adopt(ctx context.Context) error {
	if len(homesIn(i.state)) > 0 {
		return nil
	}
	owner, private, err := i.soleOwner(ctx)
	if err != nil || owner == "" {
		return err
	}
	n := slices.IndexFunc(i.members, func(m *member) bool { return m.code == owner })
	if n < 0 {
		return fmt.Errorf("%s holds the memory of the programme %s, which isn't among these folders: name its folder too, or choose another place with --state DIR (nothing was changed)", i.state, owner)
	}
	m := i.members[n]
	if err := makeStateDir(m.opt.State); err != nil {
		return err
	}
	if err := moveState(i.state, m.opt.State); err != nil {
		return err
	}
	if private {
		if err := i.renameDatabase(ctx, "budcall", m.opt.home.database); err != nil {
			return err
		}
	}
	m.held = true
	m.opt.Logger.InfoContext(ctx, "the programme's state has a folder of its own now", "folder", m.opt.State)
	return noteFolder(m.opt.State, m.opt.Dir)
}

// soleOwner gives the code of the programme that has had the state folder to
// itself; private tells that its database is there too. No code is that nobody
// has.
func (i *Installation) soleOwner(ctx context.Context) (code string, private bool, err error) {
	if _, err := os.Stat(filepath.Join(i.shared.local.Dir, "data", "PG_VERSION")); err == nil {
		server, err := i.shared.postgres(ctx)
		if err != nil {
			return "", false, err
		}
		if code, err = ownerOf(ctx, server.DSN()); err != nil || code != "" {
			return code, true, err
		}
	}
	file, err := notedDatabase(i.state)
	if err != nil || file == "" {
		return "", false, err
	}
	for _, m := range i.members { // one whose database is elsewhere
		p, problems, err := Load(m.opt.Dir)
		if err != nil || len(problems) > 0 || p.Database.DSNFile != file {
			continue
		}
		dsn, err := (&secrets{dir: m.opt.Dir}).one(file)
		if err != nil {
			return "", false, err
		}
		if code, err = ownerOf(ctx, dsn); err != nil || code == m.code {
			return code, false, err
		}
	}
	return "", false, fmt.Errorf("%s holds the state of a programme whose database is named by %s, and none of these folders names that: name its folder too, or choose another place with --state DIR (nothing was changed)", i.state, file)
}

// ownerOf gives the code of the programme whose memory a database is; empty
// where nothing was ever accepted in it.
func ownerOf(ctx context.Context, dsn string) (string, error) {
	db, err := postgres.Open(ctx, postgres.Options{DSN: dsn, MaxConns: 1})
	if err != nil {
		return "", err
	}
	defer db.Close()
	files, _, found, err := db.Accepted(ctx)
	if postgres.Unmade(err) || err == nil && !found {
		return "", nil
	}
	if err != nil {
		return "", postgres.Explain(err)
	}
	return config.CodeIn(files), nil
}

// moveState moves what a programme keeps in its state folder, one file after the
// other. A file that is in its new place already was moved by a start before.
func moveState(from, to string) error {
	files, err := journals(from)
	if err != nil {
		return err
	}
	for _, name := range []string{linkKeyName, forgottenName, databaseNote} {
		files = append(files, filepath.Join(from, name))
	}
	for _, path := range files {
		if _, err := os.Stat(path); err != nil && os.IsNotExist(err) {
			continue
		}
		if err := os.Rename(path, filepath.Join(to, filepath.Base(path))); err != nil {
			return fmt.Errorf("moving the state of %s: %w (move %s to %s by hand, then start again)", filepath.Base(to), err, strings.Join(files, " "), to)
		}
	}
	return nil
}
