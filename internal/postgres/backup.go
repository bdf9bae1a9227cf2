package postgres

import (
	"context"
	"fmt"
	"io"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/archive"
)

// BackupOptions says how a backup is made.
type BackupOptions struct {
	Program string                  // version that makes it
	MadeAt  time.Time               // by the machine's clock
	Now     time.Time               // the program's time
	Secrets map[string][]byte       // what goes along beside the tables
	Shown   func(done, total int64) // bytes of all tables, about; may be nil
}

// Backup writes every table of ours, as all of them stood at one moment, while
// work goes on. The job queue isn't in it: it is made anew from runs and letters.
func (db *DB) Backup(ctx context.Context, to io.Writer, o BackupOptions) (archive.Manifest, error) {
	var m archive.Manifest
	err := pgx.BeginTxFunc(ctx, db.pool, pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, patient); err != nil {
			return err
		}
		list, err := columns(ctx, tx)
		if err != nil {
			return err
		}
		b := &backup{tx: tx, shown: o.Shown}
		head := archive.Head{Program: o.Program, MadeAt: o.MadeAt, Now: o.Now}
		if head.Schema, err = applied(ctx, tx); err != nil {
			return err
		}
		if b.to, err = archive.NewWriter(to, head); err != nil {
			return err
		}
		if err := b.tables(ctx, list); err != nil {
			return err
		}
		for name, body := range o.Secrets {
			if err := b.to.Secret(name, body); err != nil {
				return err
			}
		}
		m = b.to.Manifest()
		return b.to.Close()
	})
	if err != nil {
		return m, fmt.Errorf("backing up: %w", Explain(err))
	}
	return m, nil
}

// patient lets a statement, and a transaction, take as long as it takes.
const patient = `set local statement_timeout = 0; set local idle_in_transaction_session_timeout = 0`

// applied gives the migrations that a database has seen.
func applied(ctx context.Context, q querier) ([]archive.Step, error) {
	rows, err := q.Query(ctx, `select name, encode(sha256, 'hex') from migration order by name`)
	if err != nil {
		return nil, fmt.Errorf("listing migrations: %w", err)
	}
	list, err := pgx.CollectRows(rows, pgx.RowToStructByPos[archive.Step])
	if err != nil {
		return nil, fmt.Errorf("listing migrations: %w", err)
	}
	return list, nil
}

// backup is one that is being made.
type backup struct {
	tx          pgx.Tx
	to          *archive.Writer
	shown       func(done, total int64)
	done, total int64
}

func (b *backup) tables(ctx context.Context, list []column) error {
	tables, numbers := byTable(list)
	var names []string
	for _, t := range tables {
		names = append(names, t.Name)
	}
	err := b.tx.QueryRow(ctx, `select coalesce(sum(pg_total_relation_size(to_regclass(n))), 0)::int8 from unnest($1::text[]) n`, names).Scan(&b.total)
	if err != nil {
		return fmt.Errorf("measuring the tables: %w", err)
	}
	for _, t := range tables {
		if column := numbers[t.Name]; column != "" {
			if t.Last, err = b.last(ctx, t.Name, column); err != nil {
				return err
			}
		}
		if err := b.to.Table(t, func(w io.Writer) (int64, error) {
			query := fmt.Sprintf(`copy %s (%s) to stdout`, quoted([]string{t.Name}), quoted(t.Columns))
			tag, err := b.tx.Conn().PgConn().CopyTo(ctx, &counted{w, b}, query)
			return tag.RowsAffected(), err
		}); err != nil {
			return err
		}
	}
	return nil
}

// last gives the last number that a table gave to a row, of those that count
// for this moment: a sequence knows of no transaction, so it may be a later one.
func (b *backup) last(ctx context.Context, table, column string) (n int64, err error) {
	var sequence string
	if err := b.tx.QueryRow(ctx, `select pg_get_serial_sequence($1, $2)`, quoted([]string{table}), column).Scan(&sequence); err != nil {
		return 0, fmt.Errorf("looking up the numbers of %s: %w", table, err)
	}
	if err := b.tx.QueryRow(ctx, `select case when is_called then last_value else 0 end from `+sequence).Scan(&n); err != nil {
		return 0, fmt.Errorf("looking up the numbers of %s: %w", table, err)
	}
	return n, nil
}

// counted shows how far a backup is.
type counted struct {
	to io.Writer
	b  *backup
}

// Write counts what it passes on.
func (c *counted) Write(p []byte) (int, error) {
	c.b.done += int64(len(p))
	if c.b.shown != nil {
		c.b.shown(min(c.b.done, c.b.total), c.b.total)
	}
	return c.to.Write(p)
}
