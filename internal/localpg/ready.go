package localpg

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// patience is how long a server may give no answer at all. One that says it is
// starting may take longer, as after a crash.
const patience = 60 * time.Second

// ready waits until PostgreSQL answers, and makes our database if need be.
func (c *child) ready(ctx context.Context, sockets string) error {
	silent := time.Now()
	for {
		err := c.ask(ctx, sockets)
		if err == nil {
			return nil
		}
		var answer *pgconn.PgError
		switch {
		case !errors.As(err, &answer): // not listening yet
		case answer.Code == "57P03": // starting
			silent = time.Now()
		default:
			return fmt.Errorf("the private PostgreSQL turned us away: %w (start again; if it stays so, budcall's log says more)", err)
		}
		if time.Since(silent) > patience {
			return fmt.Errorf("the private PostgreSQL did not answer for %s: %w%s", patience, err, c.lastWords())
		}
		select {
		case <-c.done:
			return fmt.Errorf("the private PostgreSQL ended while starting (%s; mend what it complains of, or choose another place with --state DIR)%s", c.cmd.ProcessState, c.lastWords())
		case <-ctx.Done():
			return fmt.Errorf("waiting for the private PostgreSQL: %w", ctx.Err())
		case <-time.After(5 * time.Millisecond):
		}
	}
}

// ask connects once and looks for our database.
func (c *child) ask(ctx context.Context, sockets string) error {
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	conn, err := pgx.Connect(ctx, address(sockets, "postgres"))
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	return makeDatabase(ctx, conn, database)
}
