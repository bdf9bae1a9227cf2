package cli

import (
	"flag"
	"io"
	"strings"
)

// parse reads options, which may stand before or after the operands; after --
// everything is an operand.
func parse(flags *flag.FlagSet, args []string) (operands []string, err error) {
	flags.SetOutput(io.Discard)
	flags.Usage = func() {}
	for len(args) > 0 {
		if err := flags.Parse(args); err != nil {
			return nil, reworded(flags, err)
		}
		rest := flags.Args()
		if read := len(args) - len(rest); read > 0 && args[read-1] == "--" {
			return append(operands, rest...), nil
		}
		if len(rest) == 0 {
			break
		}
		operands, args = append(operands, rest[0]), rest[1:]
	}
	return operands, nil
}

// reworded says a mistake in the options as people type them, and what was
// probably meant.
func reworded(flags *flag.FlagSet, err error) error {
	if err == flag.ErrHelp {
		return err
	}
	if name, ok := strings.CutPrefix(err.Error(), "flag provided but not defined: -"); ok {
		var known []string
		flags.VisitAll(func(f *flag.Flag) { known = append(known, f.Name) })
		near := nearest(name, known)
		if near != "" {
			near = ", did you mean --" + near + "?"
		}
		return misused("there is no option --%s%s", name, near)
	}
	if name, ok := strings.CutPrefix(err.Error(), "flag needs an argument: -"); ok {
		return misused("the option --%s needs a value", name)
	}
	text := strings.NewReplacer(" for flag -", " for --", "boolean value", "value", "parse error", "it is no number").Replace(err.Error())
	return &usage{text}
}
