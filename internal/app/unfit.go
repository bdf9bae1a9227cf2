package app

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"path/filepath"
	"regexp"

	"budcall/internal/config"
)

// unfit is a configuration with problems. What it says is read by more people
// than those who may see everybody's address: what stands in people.yml is left
// out, `budcall check` shows it.
type unfit struct {
	dir      string
	problems []config.Problem
}

func newUnfit(dir string, problems []config.Problem) *unfit {
	u := &unfit{dir: dir}
	for _, p := range problems {
		u.problems = append(u.problems, impersonal(p))
	}
	return u
}

func (u *unfit) Error() string {
	return fmt.Sprintf("%s:\n%s", counted(len(u.problems), "problem"), Problems(u.dir, u.problems))
}

// value is something that is quoted from a file.
var value = regexp.MustCompile(`"(?:[^"\\]|\\.)*"`)

// impersonal gives a problem without what stands in people.yml.
func impersonal(p config.Problem) config.Problem {
	if p.File == "people.yml" {
		p.What = value.ReplaceAllLiteralString(p.What, `"…"`)
	}
	return p
}

// logUnfit logs what is wrong with a configuration, a record for each finding.
func logUnfit(ctx context.Context, log *slog.Logger, bad error) {
	var u *unfit
	if !errors.As(bad, &u) {
		log.ErrorContext(ctx, "the configuration is not accepted", "error", bad)
		return
	}
	log.ErrorContext(ctx, "the configuration is not accepted", "problems", len(u.problems), "to see them", "budcall check "+u.dir)
	for _, p := range u.problems {
		logFinding(ctx, log, slog.LevelError, u.dir, p)
	}
}

// logFinding logs one problem or warning.
func logFinding(ctx context.Context, log *slog.Logger, level slog.Level, dir string, p config.Problem) {
	p = impersonal(p)
	at := filepath.Join(dir, p.File)
	if p.Line > 0 {
		at = fmt.Sprintf("%s:%d", at, p.Line)
	}
	said := []any{"at", at}
	for _, part := range [][2]string{{"setting", p.Path}, {"what", p.What}, {"to do", p.Cure}} {
		if part[1] != "" {
			said = append(said, part[0], part[1])
		}
	}
	log.Log(ctx, level, "configuration", said...)
}
