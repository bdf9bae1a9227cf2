package postgres

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/archive"
)

// RestoreOptions says how a backup is brought back.
type RestoreOptions struct {
	DSN     string
	Replace bool                              // what the database holds may go
	Now     time.Time                         // since when sending is held
	Before  func(context.Context) error       // done before it counts; its error undoes all; may be nil
	Shown   func(table string, done, n int64) // rows; may be nil
}

// gap is how many numbers are left out after a restore: those given since the
// backup stand on packets and in links, and mustn't come to mean something else.
const gap = 10_000

// Restore puts a backup into a database, all of it or nothing, brings it to
// this program's schema, and holds sending. What runs were going on is over: it
// was about days that are past.
func Restore(ctx context.Context, a *archive.Archive, o RestoreOptions) error {
	known, err := Readable(a.Head)
	if err != nil {
		return err
	}
	cfg, err := pgx.ParseConfig(o.DSN)
	if err != nil {
		return Explain(err)
	}
	cfg.RuntimeParams["timezone"] = "UTC"
	conn, err := pgx.ConnectConfig(ctx, cfg)
	if err != nil {
		return Explain(err)
	}
	defer conn.Close(context.WithoutCancel(ctx))
	if err := alone(ctx, conn); err != nil {
		return err
	}
	// The server notices a closed connection a little later.
	defer conn.Exec(context.WithoutCancel(ctx), `select pg_advisory_unlock($1)`, migrateLock)
	err = pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error {
		r := &restore{tx: tx, from: a, known: known, RestoreOptions: o}
		return r.all(ctx)
	})
	if err != nil {
		return fmt.Errorf("restoring: %w (nothing was changed)", Explain(err))
	}
	return nil
}

// Readable tells whether this program knows the tables of a backup, and gives
// how many of its migrations they have seen.
func Readable(h archive.Head) (seen int, err error) {
	ours, err := steps()
	if err != nil {
		return 0, err
	}
	for i, s := range h.Schema {
		switch {
		case i >= len(ours) || s.Name > ours[i].Name && !slices.ContainsFunc(ours, func(o archive.Step) bool { return o.Name == s.Name }):
			return 0, fmt.Errorf("the backup was made by a newer budcall (%s; its tables have seen %s): restore it with that version", h.Program, short(s.Name))
		case s.Name != ours[i].Name:
			return 0, fmt.Errorf("the backup's tables haven't seen %s, which comes before %s (it was made by %s): restore it with that version", short(ours[i].Name), short(s.Name), h.Program)
		case s.SHA256 != ours[i].SHA256:
			return 0, fmt.Errorf("the backup's tables were made by another %s than this program's (it was made by %s): restore it with that version", short(s.Name), h.Program)
		}
	}
	return len(h.Schema), nil
}

// alone keeps others from migrating or restoring meanwhile, and refuses where a
// program works on the database.
func alone(ctx context.Context, conn *pgx.Conn) error {
	var mine bool
	if err := conn.QueryRow(ctx, `select pg_try_advisory_lock($1)`, migrateLock).Scan(&mine); err != nil {
		return Explain(err)
	}
	if !mine {
		return errors.New("another process migrates or restores this database: wait until it is done")
	}
	var living int
	if err := conn.QueryRow(ctx, `
		select count(*) from pg_locks where locktype = 'advisory' and objsubid = 2 and granted and classid::int8 = $1
		and database = (select oid from pg_database where datname = current_database())`, int64(migrateLock)).Scan(&living); err != nil {
		return Explain(err)
	}
	if living > 0 {
		return errors.New("budcall runs on this database: stop it first")
	}
	return nil
}

// restore is one that is going on.
type restore struct {
	RestoreOptions
	tx    pgx.Tx
	from  *archive.Archive
	known int
}

func (r *restore) all(ctx context.Context) error {
	if _, err := r.tx.Exec(ctx, patient); err != nil {
		return err
	}
	for _, step := range []func(context.Context) error{r.clear, r.schema, r.fill, r.bringUp, r.settle} {
		if err := step(ctx); err != nil {
			return err
		}
	}
	if r.Before != nil {
		return r.Before(ctx)
	}
	return nil
}

// clear takes our tables away, if they hold nothing or may go.
func (r *restore) clear(ctx context.Context) error {
	list, err := columns(ctx, r.tx)
	if err != nil {
		return err
	}
	there, _ := byTable(list)
	for _, t := range there {
		var any bool
		if err := r.tx.QueryRow(ctx, `select exists (select 1 from `+quoted([]string{t.Name})+`)`).Scan(&any); err != nil {
			return err
		}
		if any && !r.Replace {
			return fmt.Errorf("the database isn't empty, its table %s holds rows: restore into another, or say --replace to lose what it holds", t.Name)
		}
	}
	names, err := made(makesTable)
	if err != nil {
		return err
	}
	functions, err := made(makesFunction)
	if err != nil {
		return err
	}
	if _, err := r.tx.Exec(ctx, `drop table if exists migration, `+quoted(names)+` cascade`); err != nil {
		return err
	}
	for _, f := range functions {
		if _, err := r.tx.Exec(ctx, `drop function if exists `+quoted([]string{f})+`() cascade`); err != nil {
			return err
		}
	}
	var queue bool
	if err := r.tx.QueryRow(ctx, `select to_regclass($1) is not null`, queueSchema+".river_job").Scan(&queue); err != nil || !queue {
		return err
	}
	_, err = r.tx.Exec(ctx, `delete from `+queueSchema+`.river_job`) // of what the database held before
	return err
}

// schema makes the tables as they were where the backup was made.
func (r *restore) schema(ctx context.Context) error { return applySome(ctx, r.tx, 0, r.known) }

// bringUp makes of them what this program needs.
func (r *restore) bringUp(ctx context.Context) error { return applySome(ctx, r.tx, r.known, -1) }

func (r *restore) fill(ctx context.Context) error {
	list, err := columns(ctx, r.tx)
	if err != nil {
		return err
	}
	_, numbers := byTable(list)
	for _, t := range r.from.Tables {
		query := fmt.Sprintf(`copy %s (%s) from stdin`, quoted([]string{t.Name}), quoted(t.Columns))
		shown := &passing{from: r.from.Text(t.Name), show: func(lines int64) {
			if r.Shown != nil {
				r.Shown(t.Name, lines, t.Rows)
			}
		}}
		tag, err := r.tx.Conn().PgConn().CopyFrom(ctx, shown, query)
		if err != nil {
			return fmt.Errorf("table %s: %w", t.Name, err)
		}
		if tag.RowsAffected() != t.Rows {
			return fmt.Errorf("table %s has %d rows, and %d were backed up: use another backup", t.Name, tag.RowsAffected(), t.Rows)
		}
		if column := numbers[t.Name]; column != "" {
			if _, err := r.tx.Exec(ctx, `select setval(pg_get_serial_sequence($1, $2), $3)`, quoted([]string{t.Name}), column, t.Last+gap); err != nil {
				return fmt.Errorf("table %s: %w", t.Name, err)
			}
		}
	}
	return nil
}

// settle ends what was going on, and holds sending.
func (r *restore) settle(ctx context.Context) error {
	if _, err := r.tx.Exec(ctx, `update work set done_at = now(), note = 'ended by a restore' where done_at is null`); err != nil {
		return err
	}
	if _, err := r.tx.Exec(ctx, `update run set phase = 'done', done_at = now() where phase <> 'done'`); err != nil {
		return err
	}
	since := r.Now
	if err := r.tx.QueryRow(ctx, `select coalesce((select at from simulated_clock), $1)`, r.Now).Scan(&since); err != nil {
		return err
	}
	return hold(ctx, r.tx, Hold{Since: since, Why: Restored, BackupAt: r.from.Now})
}

// passing shows how many lines have been read.
type passing struct {
	from  io.Reader
	lines int64
	show  func(int64)
}

// Read counts what it passes on.
func (p *passing) Read(b []byte) (int, error) {
	n, err := p.from.Read(b)
	p.lines += int64(strings.Count(string(b[:n]), "\n"))
	p.show(p.lines)
	return n, err
}
