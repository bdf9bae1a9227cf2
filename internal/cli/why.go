package cli

import (
	"context"
	"flag"
	"slices"
	"strings"

	"budcall/internal/app"
	"budcall/internal/call"
)

var whyCommand = command{
	name: "why", operands: "SITE CALL", least: 2, most: 4,
	purpose: "say why a call stands as it does, and who was told what",
	text: "SITE is a site's code. The answer gives days, odds, heat, station, whom it was told and what was reported. CALL is one of " + strings.Join(taskNames(), ", ") + ". What is said is of this season, as budcall knows it now; nothing is changed.\n" +
		"The memory is the running program's; where none runs, its own PostgreSQL is started for the moment.",
	example: "budcall why KOLMI bag-on\nbudcall why KOLMI bag-on --history",
	define:  defineWhy,
}

func defineWhy(f *flag.FlagSet) action {
	var m memory
	m.define(f)
	history := f.Bool("history", false, "show how the forecast narrowed from issue to issue, and how good it was once its stage was seen")
	machine := f.Bool("json", false, "for programs; chances from 0 to 1, heat in degree days (°C·d)")
	return func(ctx context.Context, operands []string, s Streams) error {
		task, err := parseTask(strings.Join(operands[1:], " "))
		if err != nil {
			return err
		}
		return m.with(ctx, func(b *app.Beside) error {
			w, err := b.Why(ctx, operands[0], task)
			if err != nil {
				return err
			}
			switch {
			case *history && *machine:
				return asJSON(s.Out, historyJSON(w))
			case *history:
				return table(s.Out, historyRows(w))
			case *machine:
				return asJSON(s.Out, whyJSON(w))
			}
			return table(s.Out, whyRows(b, w))
		})
	}
}

// parseTask reads a call's name: bag-on, or "bag on".
func parseTask(text string) (call.Task, error) {
	task := call.Task(strings.ReplaceAll(strings.ToLower(text), "-", " "))
	if !slices.Contains(call.Tasks, task) {
		return "", misused("no call is called %q%s (there are %s)", text, meant(text, taskNames()), strings.Join(taskNames(), ", "))
	}
	return task, nil
}

// taskNames gives the calls as they are typed.
func taskNames() []string {
	var out []string
	for _, t := range call.Tasks {
		out = append(out, strings.ReplaceAll(string(t), " ", "-"))
	}
	return out
}
