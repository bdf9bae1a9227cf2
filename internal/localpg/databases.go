package localpg

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
)

// Database gives the address of a further database of this server, which is
// made where it isn't there yet. The first one, which DSN gives, is there always.
func (s *Server) Database(ctx context.Context, name string) (dsn string, err error) {
	err = s.as(ctx, func(ctx context.Context, conn *pgx.Conn) error {
		return makeDatabase(ctx, conn, name)
	})
	if err != nil {
		return "", fmt.Errorf("making the database %s in the private PostgreSQL: %w (is there space on the disk? else start again)", name, err)
	}
	return address(s.sockets, name), nil
}

// Has reports whether the server has a database of that name.
func (s *Server) Has(ctx context.Context, name string) (there bool, err error) {
	err = s.as(ctx, func(ctx context.Context, conn *pgx.Conn) error {
		there, err = hasDatabase(ctx, conn, name)
		return err
	})
	if err != nil {
		return false, fmt.Errorf("looking for the database %s in the private PostgreSQL: %w (start again)", name, err)
	}
	return there, nil
}

// Rename gives a database another name, under which there must be none. Nobody
// may be connected to it.
func (s *Server) Rename(ctx context.Context, from, to string) error {
	err := s.as(ctx, func(ctx context.Context, conn *pgx.Conn) error {
		_, err := conn.Exec(ctx, "alter database "+quoted(from)+" rename to "+quoted(to))
		return err
	})
	if err != nil {
		return fmt.Errorf("renaming the database %s to %s in the private PostgreSQL: %w (start again once nobody is connected to it)", from, to, err)
	}
	return nil
}

// as does something in the database that every server has.
func (s *Server) as(ctx context.Context, do func(context.Context, *pgx.Conn) error) error {
	ctx, cancel := context.WithTimeout(ctx, 30*time.Second)
	defer cancel()
	conn, err := pgx.Connect(ctx, address(s.sockets, "postgres"))
	if err != nil {
		return err
	}
	defer conn.Close(context.WithoutCancel(ctx))
	return do(ctx, conn)
}

// makeDatabase makes a database unless it is there.
func makeDatabase(ctx context.Context, conn *pgx.Conn, name string) error {
	there, err := hasDatabase(ctx, conn, name)
	if err != nil || there {
		return err
	}
	_, err = conn.Exec(ctx, "create database "+quoted(name))
	return err
}

func hasDatabase(ctx context.Context, conn *pgx.Conn, name string) (there bool, err error) {
	err = conn.QueryRow(ctx, "select exists (select from pg_database where datname = $1)", name).Scan(&there)
	return there, err
}

func quoted(name string) string { return pgx.Identifier{name}.Sanitize() }
