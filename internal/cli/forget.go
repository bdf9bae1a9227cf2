package cli

import (
	"context"
	"flag"
	"fmt"
	"maps"
	"slices"

	"budcall/internal/app"
	"budcall/internal/config"
)

var forgetCommand = command{
	name: "forget", operands: "PERSON", least: 1,
	purpose: "put a pseudonym in the place of a person who has left, in every copy",
	text: "PERSON is the code that they had in people.yml. Code, name, address and phone number are replaced in every row, in every configuration that was ever accepted and in the journal; mails that came from them or mention them are dropped as they came, and so are their photos. Reports stay, under the pseudonym.\n" +
		"It is refused, with the reasons, while they have a duty, a call is with them, or the configuration names them.\n" +
		"Each programme of an installation forgets by itself: run it for each that knows the person. Those that know their mail address are named.\n" +
		"Without --for-good it only says what it would do. Backups made before still hold the person: make a new one and remove them. (One that is restored all the same forgets the person again.)",
	example: "budcall forget otso\nbudcall forget otso --for-good",
	define:  defineForget,
}

func defineForget(f *flag.FlagSet) action {
	var m memory
	m.define(f)
	forGood := f.Bool("for-good", false, "do it; it can't be undone")
	machine := f.Bool("json", false, "for programs")
	return func(ctx context.Context, operands []string, s Streams) error {
		o, err := m.options()
		if err != nil {
			return err
		}
		return m.with(ctx, func(b *app.Beside) error {
			others, err := b.Elsewhere(ctx, o, operands[0])
			if err != nil {
				return err
			}
			done, err := b.Forget(ctx, o.State, operands[0], *forGood)
			if err != nil {
				return err
			}
			if *machine {
				return asJSON(s.Out, map[string]any{"done": *forGood, "traces": done, "elsewhere": others})
			}
			return sayForgotten(s, b.Programme(), forgotten{operands[0], done, *forGood, others})
		})
	}
}

// forgotten is who was, or would be, forgotten, and what becomes of the traces.
type forgotten struct {
	code string
	app.Forgotten
	forGood bool
	others  []app.Named // in other programmes
}

func sayForgotten(s Streams, p *config.Programme, f forgotten) error {
	rows := [][]string{{"where", "replaced"}}
	for _, table := range slices.Sorted(maps.Keys(f.Rows)) {
		rows = append(rows, []string{"table " + table, fmt.Sprint(f.Rows[table])})
	}
	rows = append(rows, []string{"journal", fmt.Sprint(f.Journal)}, []string{"kept mails dropped", fmt.Sprint(f.Mails)}, []string{"photos dropped", fmt.Sprint(f.Photos)})
	if err := table(s.Out, rows); err != nil {
		return err
	}
	if _, err := fmt.Fprintln(s.Out, f.end(p)); err != nil {
		return err
	}
	for _, o := range f.others {
		if _, err := fmt.Fprintf(s.Out, "The programme %s names somebody with the same mail address too: budcall forget %s --programme %[1]s\n", o.Programme, o.Person); err != nil {
			return err
		}
	}
	return nil
}

// end says how it stands, and what is left to do where the program can't.
func (f forgotten) end(p *config.Programme) string {
	if !f.forGood {
		return fmt.Sprintf("nothing was changed: `budcall forget %s --for-good` makes %s of them", f.code, f.As)
	}
	text := fmt.Sprintf("%s is now %s everywhere here. Backups made before still hold them: make a new one and remove those.", f.code, f.As)
	if box := p.Inbox.IMAP; box.Server != "" {
		text += fmt.Sprintf(" Their mails may still lie in the mailbox of %s at %s: delete them there.", box.User, box.Server)
	}
	return text
}
