package app

import (
	"context"
	"time"
)

// BoardLink gives a signed link to the season board for a person, good for so
// many days. The key that signs it is in the state folder.
func (b *Beside) BoardLink(ctx context.Context, state, person string, days int) (url string, until time.Time, err error) {
	return b.personLink(ctx, state, person, days, links.board)
}

// CalendarLink gives a signed link to a person's calendar, as BoardLink does.
func (b *Beside) CalendarLink(ctx context.Context, state, person string, days int) (url string, until time.Time, err error) {
	return b.personLink(ctx, state, person, days, links.calendar)
}

func (b *Beside) personLink(ctx context.Context, state, person string, days int, sign func(l links, person string, until time.Time) string) (url string, until time.Time, err error) {
	if err := b.knownPerson(person); err != nil {
		return "", until, err
	}
	key, err := linkKey(state)
	if err != nil {
		return "", until, err
	}
	now, err := b.Now(ctx)
	if err != nil {
		return "", until, err
	}
	l, err := links{key: key, base: func() string { return b.programme.PublicURL }}.of(ctx, b.db, person)
	if err != nil {
		return "", until, err
	}
	until = now.AddDate(0, 0, days)
	return sign(l, person, until), until, nil
}
