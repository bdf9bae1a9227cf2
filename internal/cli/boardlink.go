package cli

import (
	"context"
	"flag"
	"fmt"

	"budcall/internal/app"
)

var boardLinkCommand = command{
	name: "board-link", operands: "PERSON", least: 1,
	purpose: "print a signed link that opens the season board for a person",
	text:    "PERSON is a code from people.yml. On this machine the board needs no link; from elsewhere it opens by such a link only. Whoever has the link sees the board: hand it on with care.",
	example: "budcall board-link maia --days 60",
	define:  defineBoardLink,
}

func defineBoardLink(f *flag.FlagSet) action {
	var m memory
	m.define(f)
	days := f.Int("days", 30, "how many `DAYS` the link is good for, 1 to 366")
	machine := f.Bool("json", false, "for programs: link, until")
	return func(ctx context.Context, operands []string, s Streams) error {
		if *days < 1 || *days > 366 {
			return misused("--days %d is outside 1 to 366", *days)
		}
		o, err := m.options()
		if err != nil {
			return err
		}
		return m.with(ctx, func(b *app.Beside) error {
			link, until, err := b.BoardLink(ctx, o.State, operands[0], *days)
			if err != nil {
				return err
			}
			if *machine {
				return asJSON(s.Out, map[string]any{"link": link, "until": until})
			}
			_, err = fmt.Fprintf(s.Out, "%s\n(good until %s)\n", link, until.Format("2 January 2006"))
			return err
		})
	}
}
