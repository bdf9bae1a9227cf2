package testpg_test

import (
	"context"
	"sync"
	"testing"

	"github.com/jackc/pgx/v5"

	"budcall/internal/postgres"
	"budcall/internal/testpg"
)

func TestMain(m *testing.M) { testpg.Main(m) }

// value asks a database for one thing.
func value[T any](t *testing.T, dsn, sql string) T {
	t.Helper()
	ctx := context.Background()
	conn, err := pgx.Connect(ctx, dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(ctx)
	var v T
	if err := conn.QueryRow(ctx, sql).Scan(&v); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	return v
}

const tables = "select count(*) from pg_tables where schemaname not in ('pg_catalog', 'information_schema')"

func TestEachTestHasAMigratedDatabaseOfItsOwn(t *testing.T) {
	var mu sync.Mutex
	names := map[string]bool{}
	t.Run("all at once", func(t *testing.T) {
		for range 8 {
			t.Run("one", func(t *testing.T) {
				t.Parallel()
				dsn := testpg.New(t)
				if n := value[int](t, dsn, tables); n == 0 {
					t.Error("it has no tables: it isn't migrated")
				}
				name := value[string](t, dsn, "select current_database()::text")
				mu.Lock()
				defer mu.Unlock()
				if names[name] {
					t.Errorf("%s was given twice", name)
				}
				names[name] = true
			})
		}
	})
	if len(names) != 8 {
		t.Fatalf("%d databases", len(names))
	}
	left := value[int](t, testpg.Server(t).DSN(), "select count(*) from pg_database where datname ~ '^t[0-9]+$'")
	if left != 0 {
		t.Errorf("%d databases were not dropped", left)
	}
}

func TestWhatOneTestWritesNoOtherSees(t *testing.T) {
	a, b := testpg.New(t), testpg.New(t)
	value[int](t, a, "with made as (select pg_catalog.lo_create(4711)) select count(*) from made")
	seen := "select count(*) from pg_largeobject_metadata where oid = 4711"
	if n, m := value[int](t, a, seen), value[int](t, b, seen); n != 1 || m != 0 {
		t.Errorf("%d in the writer's, %d in the other's", n, m)
	}
}

func TestTheTemplateIsFullyMigrated(t *testing.T) {
	dsn := testpg.New(t)
	before := value[int](t, dsn, tables)
	if err := postgres.Migrate(context.Background(), dsn); err != nil {
		t.Fatal(err)
	}
	if after := value[int](t, dsn, tables); after != before {
		t.Errorf("another migration made %d tables of %d", after, before)
	}
}
