package localpg_test

import (
	"context"
	"testing"

	"github.com/jackc/pgx/v5"

	"budcall/internal/localpg"
)

// remember stores a word in a database, and remembered gives it back.
func remember(t *testing.T, dsn, word string) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	if _, err := conn.Exec(t.Context(), "create table kept as select '"+word+"' as word"); err != nil {
		t.Fatal(err)
	}
}

func remembered(t *testing.T, dsn string) (word string) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	if err := conn.QueryRow(t.Context(), "select word from kept").Scan(&word); err != nil {
		t.Fatal(err)
	}
	return word
}

func TestSeveralDatabasesInOneServer(t *testing.T) {
	dir := place(t)
	s := start(t, dir)
	north, err := s.Database(t.Context(), "budcall_north")
	if err != nil {
		t.Fatal(err)
	}
	south, err := s.Database(t.Context(), `budcall_"south`) // a name that must be quoted
	if err != nil {
		t.Fatal(err)
	}
	remember(t, north, "north")
	remember(t, s.DSN(), "first")
	if err := s.Stop(t.Context()); err != nil {
		t.Fatal(err)
	}

	s = start(t, dir)
	if again, err := s.Database(t.Context(), "budcall_north"); err != nil || again != north || remembered(t, again) != "north" {
		t.Errorf("after another start: %s, %v", again, err)
	}
	for name, want := range map[string]bool{"budcall": true, "budcall_north": true, `budcall_"south`: true, "budcall_east": false} {
		if got, err := s.Has(t.Context(), name); err != nil || got != want {
			t.Errorf("has %s: %t, %v", name, got, err)
		}
	}
	if err := s.Rename(t.Context(), "budcall_north", `budcall_"south`); err == nil {
		t.Error("a database takes the place of another")
	}
	if err := s.Rename(t.Context(), "budcall_east", "budcall_west"); err == nil {
		t.Error("a database that isn't there is renamed")
	}
	if err := s.Rename(t.Context(), "budcall_north", "budcall_nordic"); err != nil {
		t.Fatal(err)
	}
	nordic, err := s.Database(t.Context(), "budcall_nordic")
	if err != nil || remembered(t, nordic) != "north" || remembered(t, s.DSN()) != "first" {
		t.Errorf("renamed: %v", err)
	}
	if there, err := s.Has(t.Context(), "budcall_north"); err != nil || there {
		t.Errorf("the old name is still there: %t, %v", there, err)
	}
	if south == north || localpg.Address("/x", "5433", "y") != "postgres:///y?host=%2Fx&port=5433&sslmode=disable&user=budcall" {
		t.Errorf("addresses: %s, %s", south, localpg.Address("/x", "5433", "y"))
	}
}
