package cli

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"budcall/internal/app"
	"budcall/internal/config"
)

var checkCommand = command{
	name: "check", operands: "DIR [DIR...]", least: 1, most: mostProgrammes,
	purpose: "say what a configuration folder means, or all that is wrong",
	text: "DIR holds programme.yml, people.yml, stations.yml, sites/*.yml and profiles/*.yml.\n" +
		"Nothing is fetched, sent or stored, and no database is needed. Problems are listed as file:line: setting: what (what to do), and then the exit status is 1.\n" +
		"Of several folders it is looked at too whether one installation can run them together (`budcall run DIR DIR`): codes, databases, addresses of pages and numbers, and where answers come in.",
	example: "budcall check config\nbudcall check /etc/budcall/north /etc/budcall/south",
	define:  defineCheck,
}

func defineCheck(f *flag.FlagSet) action {
	machine := f.Bool("json", false, "for programs: ok, problems and warnings, each with file, line, path, what and cure")
	return func(_ context.Context, operands []string, s Streams) error {
		folders, err := checkFolders(operands)
		if err != nil {
			return err
		}
		if *machine {
			return checkJSON(s.Out, folders)
		}
		return folders.say(s)
	}
}

// checked is a configuration folder and what is to say of it.
type checked struct {
	dir      string
	p        *config.Programme // nil where there are problems in the files
	problems []config.Problem
}

type checkedFolders []checked

// checkFolders looks at folders one by one, and then at whether they go together.
func checkFolders(dirs []string) (all checkedFolders, err error) {
	for _, dir := range dirs {
		p, problems, err := app.Load(dir)
		if err != nil {
			return nil, err
		}
		if p != nil {
			p.Warnings = append(p.Warnings, app.Absent(dir, p)...)
		}
		all = append(all, checked{dir, p, problems})
	}
	clashes, err := app.Clashes(dirs)
	if err != nil {
		return nil, err
	}
	for i := range all {
		all[i].problems = append(all[i].problems, clashes[i]...)
	}
	return all, nil
}

// say prints what was understood, or all that is wrong.
func (all checkedFolders) say(s Streams) error {
	var bad []string
	for _, f := range all {
		if len(f.problems) > 0 {
			fmt.Fprint(s.Err, app.Problems(f.dir, f.problems))
			bad = append(bad, counted(len(f.problems), "problem")+" in "+f.dir)
		}
	}
	if len(bad) > 0 {
		return errors.New(strings.Join(bad, ", "))
	}
	for i, f := range all {
		text := config.Understood(f.p)
		if i > 0 {
			text = "\n" + text
		}
		if _, err := fmt.Fprint(s.Out, text); err != nil {
			return fmt.Errorf("writing what was understood: %w", err)
		}
		fmt.Fprint(s.Err, app.Problems(f.dir, f.p.Warnings))
		if n := len(f.p.Warnings); n > 0 {
			fmt.Fprintf(s.Err, "%s: unusual, but may be meant\n", counted(n, "warning"))
		}
	}
	return nil
}

// finding is a problem or a warning as programs read it.
type finding struct {
	File string `json:"file"`
	Line int    `json:"line"` // 0: the file as a whole
	Path string `json:"path"`
	What string `json:"what"`
	Cure string `json:"cure"`
}

func checkJSON(w io.Writer, all checkedFolders) error {
	problems, warnings := []finding{}, []finding{}
	for _, f := range all {
		problems = append(problems, findings(f.dir, f.problems)...)
		if f.p != nil {
			warnings = append(warnings, findings(f.dir, f.p.Warnings)...)
		}
	}
	if err := asJSON(w, struct {
		OK       bool      `json:"ok"`
		Problems []finding `json:"problems"`
		Warnings []finding `json:"warnings"`
	}{len(problems) == 0, problems, warnings}); err != nil {
		return err
	}
	if len(problems) > 0 {
		return errSaid
	}
	return nil
}

func findings(dir string, problems []config.Problem) []finding {
	out := make([]finding, 0, len(problems))
	for _, p := range problems {
		out = append(out, finding{filepath.Join(dir, p.File), p.Line, p.Path, p.What, p.Cure})
	}
	return out
}

// counted gives a number with its noun: "1 day", "3 days".
func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
