package app

import (
	"context"
	"fmt"
	"time"

	"budcall/internal/config"
)

// BoardLink gives a signed link to the season board for a person, good for so
// many days. The key that signs it is in the state folder.
func (b *Beside) BoardLink(ctx context.Context, state, person string, days int) (link string, until time.Time, err error) {
	if _, known := find(b.programme.People, func(p config.Person) bool { return p.Code == person }); !known {
		return "", until, fmt.Errorf("nobody is known under the code %q: give a code of people.yml", person)
	}
	key, err := linkKey(state)
	if err != nil {
		return "", until, err
	}
	now, err := b.Now(ctx)
	if err != nil {
		return "", until, err
	}
	until = now.AddDate(0, 0, days)
	l := links{key: key, base: func() string { return b.programme.PublicURL }}
	return l.board(person, until), until, nil
}
