package cli

import (
	"flag"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
)

// width is how wide help is written, in characters.
const width = 80

const intro = `Budcall watches the weather at birch breeding sites and calls people to the
trees on the right days: bags on, bags off, seed picked.

usage: budcall COMMAND ...

commands:
`

const outro = `
` + "`budcall COMMAND -h`" + ` says more, with an example. Options may stand before or after
the rest. Exit status: 0 done, 1 failed, 2 wrong use.
`

// overview lists the commands.
func overview(w io.Writer) {
	fmt.Fprint(w, intro)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, c := range commands() {
		fmt.Fprintf(t, "  %s\t%s\n", strings.TrimSpace(c.name+" "+c.operands), c.purpose)
	}
	t.Flush()
	fmt.Fprint(w, outro)
}

// help is the command of that name: the overview, or one command's help.
func help(args []string, s Streams) int {
	if len(args) == 0 {
		overview(s.Out)
		return done
	}
	c, ok := find(args[0])
	if !ok {
		fmt.Fprintf(s.Err, "budcall help: there is no command %q%s\n", args[0], meant(args[0], names()))
		return wrongUse
	}
	c.help(s.Out)
	return done
}

// help writes what a command is for and how it is used.
func (c command) help(w io.Writer) {
	fmt.Fprintf(w, "%s\n\nusage: %s\n", wrap("budcall "+c.name+": "+c.purpose, ""), strings.Join(strings.Fields("budcall "+c.name+" "+c.operands+" [options]"), " "))
	if c.text != "" {
		fmt.Fprintln(w)
		for paragraph := range strings.SplitSeq(c.text, "\n") {
			if !strings.HasPrefix(paragraph, "  ") {
				paragraph = wrap(paragraph, "")
			}
			fmt.Fprintln(w, paragraph)
		}
	}
	flags := flag.NewFlagSet(c.name, flag.ContinueOnError)
	c.define(flags)
	fmt.Fprintln(w, "\noptions:")
	flags.VisitAll(func(f *flag.Flag) { option(w, f) })
	fmt.Fprintln(w, "  -h\n      this help")
	fmt.Fprintln(w, "\nexample:")
	for line := range strings.SplitSeq(strings.TrimSpace(c.example), "\n") {
		fmt.Fprintln(w, "  "+line)
	}
}

// option writes one option with what it does and what holds without it.
func option(w io.Writer, f *flag.Flag) {
	value, text := flag.UnquoteUsage(f)
	if value != "" {
		value = " " + value
	}
	if f.DefValue != "" && f.DefValue != "false" && f.DefValue != "0" {
		text += " (unless set: " + f.DefValue + ")"
	}
	fmt.Fprintf(w, "  --%s%s\n%s\n", f.Name, value, wrap(text, "      "))
}

// wrap breaks a text into lines, each with an indent.
func wrap(text, indent string) string { return hang(text, indent, indent) }

// hang breaks a text into lines, the first with one indent and the rest with
// another.
func hang(text, first, indent string) string {
	var b strings.Builder
	at := 0
	for word := range strings.FieldsSeq(text) {
		n := len([]rune(word))
		switch {
		case b.Len() == 0:
			b.WriteString(first)
			at = len(first)
		case at+1+n > width:
			b.WriteString("\n" + indent)
			at = len(indent)
		default:
			b.WriteByte(' ')
			at++
		}
		b.WriteString(word)
		at += n
	}
	return b.String()
}
