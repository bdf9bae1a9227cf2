package postgres

import (
	"testing"
	"time"
)

func TestEveryWithdrawalOfAPersonsLinksCounts(t *testing.T) {
	db := process(t, fresh(t, true))
	now := time.Date(2031, 5, 3, 12, 0, 0, 0, time.UTC)
	for want := 1; want <= 3; want++ {
		turn, err := db.WithdrawLinks(t.Context(), "aino", now)
		must(t, err)
		if turn != want {
			t.Errorf("withdrawal %d is counted as %d", want, turn)
		}
	}
	_, err := db.WithdrawLinks(t.Context(), "otso", now)
	must(t, err)
	for person, want := range map[string]int{"aino": 3, "otso": 1, "liis": 0} {
		turn, err := db.LinkTurn(t.Context(), person)
		must(t, err)
		must(t, db.Read(t.Context(), func(b *Book) error {
			turns, err := b.LinkTurns(t.Context())
			if turns[person] != want || turn != want || len(turns) != 2 {
				t.Errorf("%s: %d and %v, want %d", person, turn, turns, want)
			}
			return err
		}))
	}
}
