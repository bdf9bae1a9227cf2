package app

import (
	"context"
	"fmt"
	"time"

	"budcall/internal/config"
	"budcall/internal/web"
)

// loadedFolder is a configuration folder and what it says.
type loadedFolder struct {
	dir   string
	files config.Files
	p     *config.Programme
}

func loadFolder(dir string) (l loadedFolder, problems []config.Problem, err error) {
	l.dir = dir
	if l.files, err = ReadDir(dir); err != nil {
		return l, nil, err
	}
	l.p, problems = config.Parse(l.files, time.LoadLocation)
	return l, problems, nil
}

// clashes says what keeps a programme from being run with others.
func clashes(l loadedFolder, others []loadedFolder) []config.Problem {
	var with []*config.Programme
	for _, o := range others {
		with = append(with, o.p)
	}
	problems := config.Clashes(l.files, l.p, with)
	for _, o := range others {
		problems = append(problems, l.reserved(o)...)
		if l.p.Code != o.p.Code && len(problems) == 0 && l.sameDatabase(o) {
			problems = append(problems, l.problem("database.dsn_file", "names the database of "+o.p.Code, "each programme has a database of its own: make another, or leave the setting out, and the program makes one for each"))
		}
	}
	return problems
}

func (l loadedFolder) problem(path, what, cure string) config.Problem {
	return config.Problem{File: "programme.yml", Path: path, What: what, Cure: cure}
}

// sameDatabase compares the addresses that two programmes' files hold. What
// can't be read yet is compared at the start, by what the database remembers.
func (l loadedFolder) sameDatabase(o loadedFolder) bool {
	mine, theirs := l.p.Database.DSNFile, o.p.Database.DSNFile
	if mine == "" || theirs == "" {
		return false
	}
	a, err1 := (&secrets{dir: l.dir}).one(mine)
	b, err2 := (&secrets{dir: o.dir}).one(theirs)
	return err1 == nil && err2 == nil && a == b
}

// reserved refuses a path that hides pages of a programme at the root of the
// same listener.
func (l loadedFolder) reserved(o loadedFolder) []config.Problem {
	mine, theirs := l.p.PublicPath(), o.p.PublicPath()
	if l.p.Listen != o.p.Listen || mine == theirs || mine != "" && theirs != "" {
		return nil
	}
	under := mine + theirs
	if !web.New(web.Options{}).Has(under) {
		return nil
	}
	return []config.Problem{l.problem("public_url", fmt.Sprintf("%s is one of the pages of a programme at the root of %s", under, l.p.Listen), "choose another path, or give both programmes one")}
}

// Clashes says, for each of several configuration folders that are good by
// themselves, what keeps it from being run in one installation with those before
// it. What is wrong with a folder itself isn't said.
func Clashes(dirs []string) ([][]config.Problem, error) {
	found := make([][]config.Problem, len(dirs))
	var before []loadedFolder
	for i, dir := range dirs {
		l, problems, err := loadFolder(dir)
		if err != nil {
			return nil, err
		}
		if len(problems) == 0 {
			found[i] = clashes(l, before)
			before = append(before, l)
		}
	}
	return found, nil
}

// fit refuses a configuration that can't be in force here: one that would do
// something in the real world on a simulated clock, another programme's than the
// one whose memory this is, or one that takes what another programme has.
func (a *App) fit(p *config.Programme) error {
	if a.clock.simulated {
		if err := harmless(p); err != nil {
			return err
		}
	}
	if a.owner != "" && p.Code != a.owner && a.opt.Renamed[a.owner] != p.Code {
		return newUnfit(a.conf.dir, []config.Problem{{
			File: "programme.yml", Path: "code", What: fmt.Sprintf("is %s, and this is the memory of %s", p.Code, a.owner),
			Cure: fmt.Sprintf("write %s again; or, if the programme is called %s from now on, stop budcall and start it once with --renamed %[1]s=%[2]s", a.owner, p.Code),
		}})
	}
	if a.opt.shared == nil {
		return nil
	}
	others := a.opt.shared.of.others(a.opt.Dir)
	files, err := ReadDir(a.opt.Dir)
	if err != nil {
		files = nil // it says where something stands, and no more
	}
	if bad := clashes(loadedFolder{a.conf.dir, files, p}, others); len(bad) > 0 {
		return newUnfit(a.conf.dir, bad)
	}
	return nil
}

// owned finds whose memory the database is, and refuses another programme's.
func (a *App) owned(ctx context.Context) error {
	files, _, found, err := a.db.Accepted(ctx)
	if err != nil || !found {
		return err
	}
	a.owner = config.CodeIn(files)
	code := codeOf(a.opt.Dir)
	if a.owner == "" || code == "" || code == a.owner || a.opt.Renamed[a.owner] == code {
		return nil
	}
	return fmt.Errorf("this database holds the memory of the programme %s, and %s is the programme %s: give %[3]s a database of its own (database: dsn_file in programme.yml, --database-file, or another --state DIR); or, if %[1]s is called %[3]s from now on, start once with --renamed %[1]s=%[3]s (nothing was changed)", a.owner, a.opt.Dir, code)
}
