// Package postgres is the memory: everything the program knows and owes, in a
// PostgreSQL database, and the job queue in it.
package postgres

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math/rand/v2"
	"net"
	"strings"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgtype"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/riverqueue/river"

	"budcall/internal/civil"
)

// Options says which database is opened and how.
type Options struct {
	DSN      string // libpq address
	MaxConns int32  // 0: a default for a small machine
	Logger   *slog.Logger
}

// DB is the memory. It is safe for use by many goroutines.
type DB struct {
	// Lost gives the run that is begun when a letter won't arrive, for the
	// sites that it is about, in the transaction that books it; ok is false
	// where there is nothing to decide. It is set once, before work begins.
	Lost func(letter string, sites []string, at time.Time) (p Plan, ok bool)

	// Note writes down what must outlive the database, in the transaction that
	// stores it; may be nil. It is set once, before work begins.
	Note func(Noted)

	pool     *pgxpool.Pool
	log      *slog.Logger
	instance int32
	alive    *pgx.Conn             // holds the advisory lock that tells others this process lives
	sending  sync.Map              // ids of the letters that this process is sending
	jobs     *river.Client[pgx.Tx] // only to add jobs
}

// Open connects to a migrated database.
func Open(ctx context.Context, o Options) (*DB, error) {
	cfg, err := pgxpool.ParseConfig(o.DSN)
	if err != nil {
		return nil, fmt.Errorf("reading the database address: %w (write postgres://user@host:5432/name; the password belongs into a file named by PGPASSFILE or the address file)", err)
	}
	cfg.MaxConns = o.MaxConns
	if o.MaxConns == 0 {
		cfg.MaxConns = 16
	}
	cfg.PingTimeout = 5 * time.Second
	cfg.MaxConnLifetimeJitter = 5 * time.Minute
	for k, v := range map[string]string{"statement_timeout": "60000", "lock_timeout": "30000", "idle_in_transaction_session_timeout": "120000", "timezone": "UTC"} {
		if _, set := cfg.ConnConfig.RuntimeParams[k]; !set {
			cfg.ConnConfig.RuntimeParams[k] = v
		}
	}
	pool, err := pgxpool.NewWithConfig(ctx, cfg)
	if err != nil {
		return nil, fmt.Errorf("preparing connections to the database: %w", err)
	}
	db := &DB{pool: pool, log: o.Logger, instance: 1 + rand.Int32N(1<<30)}
	if db.log == nil {
		db.log = quiet()
	}
	if err := db.Ping(ctx); err != nil {
		pool.Close()
		return nil, err
	}
	if db.jobs, err = insertOnly(db); err != nil {
		pool.Close()
		return nil, err
	}
	return db, nil
}

// Ping asks the database for a sign of life and says in plain words what is
// wrong where there is none.
func (db *DB) Ping(ctx context.Context) error {
	if err := db.pool.Ping(ctx); err != nil {
		return Explain(err)
	}
	return nil
}

// Close gives all connections back.
func (db *DB) Close() {
	if db.alive != nil {
		db.alive.Close(context.Background())
	}
	db.pool.Close()
}

// Explain turns an error of the database into one that says what to do.
func Explain(err error) error {
	var pg *pgconn.PgError
	var connect *pgconn.ConnectError
	var parse *pgconn.ParseConfigError
	switch {
	case errors.As(err, &pg) && (pg.Code == "28P01" || pg.Code == "28000"):
		return fmt.Errorf("the database refused the user or password: %w (check the address file and the server's pg_hba.conf)", err)
	case errors.As(err, &pg) && pg.Code == "3D000":
		return fmt.Errorf("there is no such database: %w (create it: createdb NAME)", err)
	case errors.As(err, &pg) && pg.Code == "53100":
		return fmt.Errorf("the database's disk is full: %w (free space; nothing is lost, work goes on by itself)", err)
	case errors.As(err, &parse):
		return fmt.Errorf("%w (write postgres://user@host:5432/name on one line of the address file)", err)
	case errors.As(err, &pg) && strings.HasPrefix(pg.Code, "57P"):
		return fmt.Errorf("the database is stopping or starting: %w (nothing is lost; work goes on by itself)", err)
	case errors.As(err, &connect):
		return fmt.Errorf("the database can't be reached: %w (is it running, and is the address right?)", err)
	}
	return err
}

// Temporary reports whether trying again later may help: the database is
// away, restarting, overloaded or full.
func Temporary(err error) bool {
	var pg *pgconn.PgError
	if errors.As(err, &pg) {
		return strings.HasPrefix(pg.Code, "08") || strings.HasPrefix(pg.Code, "53") ||
			strings.HasPrefix(pg.Code, "57P") || pg.Code == "40001" || pg.Code == "40P01" || pg.Code == "55P03" || pg.Code == "57014"
	}
	var connect *pgconn.ConnectError
	var network *net.OpError
	return errors.As(err, &connect) || errors.As(err, &network) || pgconn.SafeToRetry(err) || pgconn.Timeout(err) ||
		errors.Is(err, io.ErrUnexpectedEOF) || err != nil && strings.Contains(err.Error(), "conn closed")
}

// Unmade reports whether our tables aren't there: the database was never
// migrated.
func Unmade(err error) bool {
	var pg *pgconn.PgError
	return errors.As(err, &pg) && pg.Code == "42P01" // undefined_table
}

// tx runs f in a transaction and tries the whole of it again, a few times,
// where PostgreSQL says that it was in the way of another.
func (db *DB) tx(ctx context.Context, f func(pgx.Tx) error) error {
	var err error
	for try := range 4 {
		err = pgx.BeginFunc(ctx, db.pool, f)
		var pg *pgconn.PgError
		if !errors.As(err, &pg) || pg.Code != "40001" && pg.Code != "40P01" {
			return err
		}
		if !pause(ctx, try) {
			return err
		}
	}
	return err
}

// pause waits before another try, longer each time; false where ctx ended.
func pause(ctx context.Context, try int) bool {
	select {
	case <-ctx.Done():
		return false
	case <-time.After(time.Duration(20<<min(try, 6)) * time.Millisecond):
		return true
	}
}

func quiet() *slog.Logger { return slog.New(slog.DiscardHandler) }

// date turns a day into what PostgreSQL takes; no date is null.
func date(d civil.Date) pgtype.Date {
	return pgtype.Date{Time: d.Midnight(), Valid: d != 0}
}

func day(d pgtype.Date) civil.Date {
	if !d.Valid {
		return 0
	}
	return civil.At(d.Time)
}

// instant turns a moment into what PostgreSQL takes; the zero time is null.
func instant(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}
