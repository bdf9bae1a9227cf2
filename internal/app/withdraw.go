package app

import (
	"context"
	"fmt"
	"maps"
	"time"

	"budcall/internal/link"
)

// turner tells how often a person's links were withdrawn.
type turner interface {
	LinkTurn(ctx context.Context, person string) (int, error)
}

// asOf gives links that are signed as they stand in a transaction.
func (l links) asOf(ctx context.Context, b Book) (links, error) {
	turns, err := b.LinkTurns(ctx)
	l.turns = turns
	return l, err
}

// of gives links for one person.
func (l links) of(ctx context.Context, from turner, person string) (links, error) {
	turn, err := from.LinkTurn(ctx, person)
	turns := maps.Clone(l.turns)
	if turns == nil {
		turns = map[string]int{}
	}
	turns[person] = turn
	l.turns = turns
	return l, err
}

// calendar gives a link to a person's calendar, good until a moment.
func (l links) calendar(person string, until time.Time) string {
	c := link.Calendar(person, until)
	c.Turn = l.turns[person]
	return l.base() + "/calendar/" + link.Sign(l.key, c)
}

// Turn gives how often a person's links were withdrawn; known is false where
// the configuration no longer names them.
func (p *pages) Turn(ctx context.Context, person string) (turn int, known bool, err error) {
	if _, known = p.programme().Person(person); !known {
		return 0, false, nil
	}
	turn, err = p.db.LinkTurn(ctx, person)
	return turn, err == nil, err
}

// knownPerson is an error where people.yml names nobody of that code.
func (b *Beside) knownPerson(code string) error {
	if _, known := b.programme.Person(code); !known {
		return fmt.Errorf("nobody is known under the code %q: give a code of people.yml", code)
	}
	return nil
}

// WithdrawLinks makes every link that a person has been given so far open
// nothing any more. Mails that are written from now on have links that work. A
// code that people.yml no longer names is taken as well: links of somebody who
// comes back must stay withdrawn.
func (b *Beside) WithdrawLinks(ctx context.Context, person string) (times int, known bool, err error) {
	now, err := b.Now(ctx)
	if err != nil {
		return 0, false, err
	}
	times, err = b.db.WithdrawLinks(ctx, person, now)
	return times, b.knownPerson(person) == nil, err
}
