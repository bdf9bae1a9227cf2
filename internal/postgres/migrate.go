package postgres

import (
	"bytes"
	"context"
	"crypto/sha256"
	"embed"
	"errors"
	"fmt"
	"slices"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"
	"github.com/riverqueue/river/rivermigrate"
)

//go:embed migrations/*.sql
var migrations embed.FS

// migrateLock is the key of the advisory lock under which one process at a
// time migrates; any constant of our own does.
const migrateLock = 0x62756463

// queueSchema is the schema in which River keeps its tables.
const queueSchema = "river"

// Migrate brings the database to this program's schema: embedded numbered
// steps, forward only, each in a transaction of its own, under an advisory
// lock. A step that was changed after it was applied is refused.
func Migrate(ctx context.Context, dsn string) error {
	pool, err := pgxpool.New(ctx, dsn)
	if err != nil {
		return fmt.Errorf("reading the database address: %w", err)
	}
	defer pool.Close()
	conn, err := pool.Acquire(ctx)
	if err != nil {
		return fmt.Errorf("connecting to the database to migrate it: %w", err)
	}
	defer conn.Release()
	if _, err := conn.Exec(ctx, "select pg_advisory_lock($1)", migrateLock); err != nil {
		return fmt.Errorf("waiting for another process that migrates: %w", err)
	}
	defer conn.Exec(context.WithoutCancel(ctx), "select pg_advisory_unlock($1)", migrateLock)
	if err := apply(ctx, conn.Conn()); err != nil {
		return err
	}
	if _, err := conn.Exec(ctx, "create schema if not exists "+queueSchema); err != nil {
		return fmt.Errorf("making the schema of the job queue: %w", err)
	}
	m, err := rivermigrate.New(riverpgxv5.New(pool), &rivermigrate.Config{Schema: queueSchema, Logger: quiet()})
	if err != nil {
		return fmt.Errorf("preparing the job queue's migration: %w", err)
	}
	if _, err := m.Migrate(ctx, rivermigrate.DirectionUp, nil); err != nil {
		return fmt.Errorf("migrating the job queue: %w", err)
	}
	return nil
}

func apply(ctx context.Context, conn *pgx.Conn) error {
	if err := applySome(ctx, conn, 0, -1); err != nil {
		return err
	}
	list, err := steps()
	if err != nil {
		return err
	}
	var names []string
	for _, s := range list {
		names = append(names, s.Name)
	}
	return newer(ctx, conn, names)
}

// beginner is a connection or a transaction.
type beginner interface {
	execer
	querier
	Begin(ctx context.Context) (pgx.Tx, error)
}

// applySome applies the migrations from the from-th on and before the to-th,
// -1 being all that are left.
func applySome(ctx context.Context, conn beginner, from, to int) error {
	if _, err := conn.Exec(ctx, `create table if not exists migration (
		name text primary key, sha256 bytea not null, applied_at timestamptz not null default now())`); err != nil {
		return fmt.Errorf("making the table of migrations: %w", err)
	}
	list, err := steps()
	if err != nil {
		return err
	}
	if to < 0 {
		to = len(list)
	}
	for _, s := range list[from:to] {
		if err := applyOne(ctx, conn, s.Name); err != nil {
			return fmt.Errorf("migration %s: %w", s.Name, err)
		}
	}
	return nil
}

func applyOne(ctx context.Context, conn beginner, name string) error {
	body, err := migrations.ReadFile(name)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(body)
	var have []byte
	err = conn.QueryRow(ctx, "select sha256 from migration where name = $1", name).Scan(&have)
	if err == nil {
		if !bytes.Equal(have, sum[:]) {
			return errors.New("was changed after it was applied: restore the file and write a new migration instead")
		}
		return nil
	}
	if !errors.Is(err, pgx.ErrNoRows) {
		return err
	}
	return pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, string(body)); err != nil {
			return located(err, body)
		}
		_, err := tx.Exec(ctx, "insert into migration (name, sha256) values ($1, $2)", name, sum[:])
		return err
	})
}

// located adds the line of the migration on which PostgreSQL stumbled.
func located(err error, body []byte) error {
	var pg *pgconn.PgError
	if errors.As(err, &pg) && pg.Position > 0 && int(pg.Position) <= len(body) {
		return fmt.Errorf("line %d: %w", 1+bytes.Count(body[:pg.Position], []byte("\n")), err)
	}
	return err
}

// newer refuses a database that a newer program has migrated.
func newer(ctx context.Context, conn querier, known []string) error {
	rows, err := conn.Query(ctx, "select name from migration order by name")
	if err != nil {
		return fmt.Errorf("listing migrations: %w", err)
	}
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		return fmt.Errorf("listing migrations: %w", err)
	}
	for _, n := range names {
		if !slices.Contains(known, n) {
			return fmt.Errorf("the database was migrated by a newer budcall (it has %s): run that version, or restore a backup made before", n)
		}
	}
	return nil
}
