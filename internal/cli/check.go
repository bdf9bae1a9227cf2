package cli

import (
	"context"
	"flag"
	"fmt"
	"io"
	"path/filepath"

	"budcall/internal/app"
	"budcall/internal/config"
)

var checkCommand = command{
	name: "check", operands: "DIR", least: 1,
	purpose: "say what a configuration folder means, or all that is wrong",
	text: "DIR holds programme.yml, people.yml, stations.yml, sites/*.yml and profiles/*.yml.\n" +
		"Nothing is fetched, sent or stored, and no database is needed. Problems are listed as file:line: setting: what (what to do), and then the exit status is 1.",
	example: "budcall check config",
	define:  defineCheck,
}

func defineCheck(f *flag.FlagSet) action {
	machine := f.Bool("json", false, "for programs: ok, problems and warnings, each with file, line, path, what and cure")
	return func(_ context.Context, operands []string, s Streams) error {
		dir := operands[0]
		p, problems, err := app.Load(dir)
		if err != nil {
			return err
		}
		if p != nil {
			p.Warnings = append(p.Warnings, app.Absent(dir, p)...)
		}
		if *machine {
			return checkJSON(s.Out, dir, p, problems)
		}
		if len(problems) > 0 {
			fmt.Fprint(s.Err, app.Problems(dir, problems))
			return fmt.Errorf("%s in %s", counted(len(problems), "problem"), dir)
		}
		if _, err := fmt.Fprint(s.Out, config.Understood(p)); err != nil {
			return fmt.Errorf("writing what was understood: %w", err)
		}
		fmt.Fprint(s.Err, app.Problems(dir, p.Warnings))
		if n := len(p.Warnings); n > 0 {
			fmt.Fprintf(s.Err, "%s: unusual, but may be meant\n", counted(n, "warning"))
		}
		return nil
	}
}

// finding is a problem or a warning as programs read it.
type finding struct {
	File string `json:"file"`
	Line int    `json:"line"` // 0: the file as a whole
	Path string `json:"path"`
	What string `json:"what"`
	Cure string `json:"cure"`
}

func checkJSON(w io.Writer, dir string, p *config.Programme, problems []config.Problem) error {
	var warnings []config.Problem
	if p != nil {
		warnings = p.Warnings
	}
	if err := asJSON(w, struct {
		OK       bool      `json:"ok"`
		Problems []finding `json:"problems"`
		Warnings []finding `json:"warnings"`
	}{len(problems) == 0, findings(dir, problems), findings(dir, warnings)}); err != nil {
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
