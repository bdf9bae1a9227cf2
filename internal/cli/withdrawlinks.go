package cli

import (
	"context"
	"flag"
	"fmt"

	"budcall/internal/app"
)

var withdrawLinksCommand = command{
	name: "withdraw-links", operands: "PERSON", least: 1,
	purpose: "make every link that a person has been given so far open nothing any more",
	text: "For when a phone or a mail got lost, or somebody leaves. PERSON is a code from people.yml, or was. Forms, the season board, the calendar and questions whether a mail is theirs all refuse the earlier links, at once and for good; links in mails that are written from then on work.\n" +
		"Answering by mail goes on: take the person out of people.yml to end that too. The journal remembers it for a memory that is restored; where the journal is lost too, links withdrawn since the backup must be withdrawn again.",
	example: "budcall withdraw-links aino",
	define:  defineWithdrawLinks,
}

func defineWithdrawLinks(f *flag.FlagSet) action {
	var m memory
	m.define(f)
	machine := f.Bool("json", false, "for programs: person, times, known")
	return func(ctx context.Context, operands []string, s Streams) error {
		return m.with(ctx, func(b *app.Beside) error {
			person := operands[0]
			times, known, err := b.WithdrawLinks(ctx, person)
			if err != nil {
				return err
			}
			if *machine {
				return asJSON(s.Out, map[string]any{"person": person, "times": times, "known": known})
			}
			said := fmt.Sprintf("every link given to %s so far opens nothing any more\n", person)
			if !known {
				said += fmt.Sprintf("(people.yml names nobody under the code %s; if you meant somebody else, give theirs)\n", person)
			}
			_, err = fmt.Fprint(s.Out, said)
			return err
		})
	}
}
