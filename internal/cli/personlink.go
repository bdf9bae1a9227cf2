package cli

import (
	"context"
	"flag"
	"fmt"
	"time"

	"budcall/internal/app"
)

var boardLinkCommand = command{
	name: "board-link", operands: "PERSON", least: 1,
	purpose: "print a signed link that opens the season board for a person",
	text:    "PERSON is a code from people.yml. On this machine the board needs no link; from elsewhere it opens by such a link only. Whoever has the link sees the board: hand it on with care.",
	example: "budcall board-link maia --days 60",
	define:  linkFor((*app.Beside).BoardLink, 30, 366),
}

var calendarLinkCommand = command{
	name: "calendar-link", operands: "PERSON", least: 1,
	purpose: "print a signed link to a person's calendar of what they are asked to do",
	text:    "PERSON is a code from people.yml. A calendar program subscribes to the link: it shows what the person is asked to do, on the days told, and changes as they do. Whoever has the link sees the calendar; `budcall withdraw-links` ends it.",
	example: "budcall calendar-link aino",
	define:  linkFor((*app.Beside).CalendarLink, 731, 1830),
}

// linkMaker makes a link for a person, good for so many days.
type linkMaker func(b *app.Beside, ctx context.Context, state, person string, days int) (url string, until time.Time, err error)

// linkFor defines a command that prints a link, good for usual days unless
// another number up to most is asked for.
func linkFor(make linkMaker, usual, most int) func(*flag.FlagSet) action {
	return func(f *flag.FlagSet) action {
		var m memory
		m.define(f)
		days := f.Int("days", usual, fmt.Sprintf("how many `DAYS` the link is good for, 1 to %d", most))
		machine := f.Bool("json", false, "for programs: link, until")
		return func(ctx context.Context, operands []string, s Streams) error {
			if *days < 1 || *days > most {
				return misused("--days %d is outside 1 to %d", *days, most)
			}
			o, err := m.options()
			if err != nil {
				return err
			}
			return m.with(ctx, func(b *app.Beside) error {
				link, until, err := make(b, ctx, o.State, operands[0], *days)
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
}
