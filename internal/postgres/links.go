package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
)

// LinkTurns gives how often links were withdrawn, by person; whoever isn't in
// it never had any withdrawn.
func (b *Book) LinkTurns(ctx context.Context) (map[string]int, error) {
	rows, err := b.tx.Query(ctx, `select person, turn from link_turn`)
	if err != nil {
		return nil, fmt.Errorf("reading whose links were withdrawn: %w", err)
	}
	turns := map[string]int{}
	var person string
	var turn int
	if _, err := pgx.ForEachRow(rows, []any{&person, &turn}, func() error {
		turns[person] = turn
		return nil
	}); err != nil {
		return nil, fmt.Errorf("reading whose links were withdrawn: %w", err)
	}
	return turns, nil
}

// LinkTurn gives how often a person's links were withdrawn.
func (db *DB) LinkTurn(ctx context.Context, person string) (turn int, err error) {
	return linkTurn(ctx, db.pool, person)
}

// LinkTurn gives how often a person's links were withdrawn.
func (in *Inbox) LinkTurn(ctx context.Context, person string) (turn int, err error) {
	return linkTurn(ctx, in.tx, person)
}

func linkTurn(ctx context.Context, q querier, person string) (turn int, err error) {
	err = q.QueryRow(ctx, `select turn from link_turn where person = $1`, person).Scan(&turn)
	if err != nil && !errors.Is(err, pgx.ErrNoRows) {
		return 0, fmt.Errorf("looking whether links were withdrawn: %w", err)
	}
	return turn, nil
}

// WithdrawLinks makes every link that was signed for a person so far open
// nothing any more, and gives how often that was done.
func (db *DB) WithdrawLinks(ctx context.Context, person string, at time.Time) (turn int, err error) {
	err = db.pool.QueryRow(ctx, `
		insert into link_turn as l (person, turn, withdrawn_at) values ($1, 1, $2)
		on conflict (person) do update set turn = l.turn + 1, withdrawn_at = excluded.withdrawn_at
		returning turn`, person, at).Scan(&turn)
	if err != nil {
		return 0, fmt.Errorf("withdrawing links: %w", Explain(err))
	}
	db.note(Noted{At: at, Withdrawn: &NotedWithdrawal{Person: person, Turn: turn}})
	return turn, nil
}
