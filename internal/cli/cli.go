// Package cli is the commands: what can be typed after budcall, its options,
// help and exit status.
package cli

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"
)

// The exit statuses.
const (
	done     = 0
	failed   = 1
	wrongUse = 2
)

// Streams is where a command reads and writes.
type Streams struct {
	In       io.Reader
	Out, Err io.Writer
}

// Run does what the arguments (without the program's name) ask for and gives
// the exit status: 0 done, 1 failed, 2 wrong use.
func Run(ctx context.Context, args []string, s Streams) int {
	if len(args) == 0 {
		overview(s.Err)
		return wrongUse
	}
	switch args[0] {
	case "help", "-h", "-help", "--help":
		return help(args[1:], s)
	}
	c, ok := find(args[0])
	if !ok {
		fmt.Fprintf(s.Err, "budcall: there is no command %q%s. `budcall help` lists the commands.\n", args[0], meant(args[0], names()))
		return wrongUse
	}
	return c.run(ctx, args[1:], s)
}

// run does one command.
func (c command) run(ctx context.Context, args []string, s Streams) int {
	flags := flag.NewFlagSet(c.name, flag.ContinueOnError)
	do := c.define(flags)
	operands, err := parse(flags, args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		c.help(s.Out)
		return done
	case err == nil && (len(operands) < c.least || len(operands) > max(c.least, c.most)):
		err = c.count(operands)
	}
	if err == nil {
		err = do(ctx, operands, s)
	}
	return c.status(err, s.Err)
}

// status says what went wrong, if anything did, and gives the exit status.
func (c command) status(err error, w io.Writer) int {
	if err == nil {
		return done
	}
	if err != errSaid {
		fmt.Fprintf(w, "budcall %s: %s\n", c.name, strings.TrimRight(explain(err), "\n"))
	}
	var use *usage
	if errors.As(err, &use) {
		fmt.Fprintf(w, "`budcall %s -h` says how it is used.\n", c.name)
		return wrongUse
	}
	return failed
}

// errSaid ends a command that has failed and has said so itself.
var errSaid = errors.New("said already")

// usage is a wrong use of a command.
type usage struct{ text string }

func (u *usage) Error() string { return u.text }

func misused(format string, args ...any) error { return &usage{fmt.Sprintf(format, args...)} }

// count says what is missing or too many.
func (c command) count(operands []string) error {
	if len(operands) == 0 {
		return misused("%s is missing", strings.TrimSuffix(c.operands, " [DIR...]"))
	}
	if len(operands) < c.least {
		return misused("it takes %s, and only %q was given", c.operands, strings.Join(operands, " "))
	}
	if c.operands == "" {
		return misused("it takes no arguments, only options, and %q was given", operands[0])
	}
	return misused("it takes %s, and %q is too much", c.operands, operands[max(c.least, c.most)])
}

// env gives a variable of the environment; tests of the whole command set them.
func env(name string) string { return os.Getenv(name) }
