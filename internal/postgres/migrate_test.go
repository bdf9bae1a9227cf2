package postgres

import (
	"strings"
	"sync"
	"testing"

	"github.com/jackc/pgx/v5"
)

func TestMigratingTwiceChangesNothing(t *testing.T) {
	dsn := fresh(t, false)
	must(t, Migrate(t.Context(), dsn))
	db := process(t, dsn)
	before := one[string](t, db, `select string_agg(name || applied_at::text, ' ') from migration`)
	must(t, Migrate(t.Context(), dsn))
	if after := one[string](t, db, `select string_agg(name || applied_at::text, ' ') from migration`); after != before {
		t.Errorf("before %s, after %s", before, after)
	}
}

func TestFourProcessesMigrateAnEmptyDatabaseTogether(t *testing.T) {
	dsn := fresh(t, false)
	var all sync.WaitGroup
	errs := make([]error, 4)
	for i := range errs {
		all.Go(func() { errs[i] = Migrate(t.Context(), dsn) })
	}
	all.Wait()
	for _, err := range errs {
		if err != nil {
			t.Error(err)
		}
	}
	db := process(t, dsn)
	if n := one[int](t, db, `select count(*) from migration`); n == 0 {
		t.Error("nothing was migrated")
	}
	if locks := one[int](t, db, `select count(*) from pg_locks where locktype = 'advisory' and classid = 0`); locks != 0 {
		t.Errorf("%d locks of migrating are left", locks)
	}
}

func TestADatabaseThatDoesNotFitIsRefusedByName(t *testing.T) {
	for _, row := range []struct{ sentence, sql, want, cure string }{
		{"a step that was changed after it was applied", `update migration set sha256 = 'x' where name like '%001%'`, "001_season.sql: was changed", "write a new migration"},
		{"a database of a newer program", `insert into migration (name, sha256) values ('migrations/999_later.sql', 'x')`, "999_later.sql", "run that version"},
	} {
		dsn := fresh(t, true)
		conn, err := pgx.Connect(t.Context(), dsn)
		must(t, err)
		_, err = conn.Exec(t.Context(), row.sql)
		must(t, err)
		must(t, conn.Close(t.Context()))
		err = Migrate(t.Context(), dsn)
		if err == nil || !strings.Contains(err.Error(), row.want) || !strings.Contains(err.Error(), row.cure) {
			t.Errorf("%s: %v", row.sentence, err)
		}
	}
}
