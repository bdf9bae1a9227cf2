package postgres

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"
)

// Accept keeps the files of a checked configuration as the one in force.
func (db *DB) Accept(ctx context.Context, files map[string][]byte, author string, at time.Time) error {
	raw, err := json.Marshal(files)
	if err != nil {
		return fmt.Errorf("keeping the accepted configuration: %w", err)
	}
	sum := digest(files)
	if _, err := db.pool.Exec(ctx, `
		insert into accepted_config (accepted_at, sha256, author, files)
		select $1, $2, $3, $4 where $2 is distinct from (select sha256 from accepted_config order by id desc limit 1)`,
		at, sum, author, raw); err != nil {
		return fmt.Errorf("keeping the accepted configuration: %w", err)
	}
	return nil
}

// Accepted gives the files of the configuration that was accepted last.
func (db *DB) Accepted(ctx context.Context) (files map[string][]byte, at time.Time, found bool, err error) {
	var raw json.RawMessage
	err = db.pool.QueryRow(ctx, `select files, accepted_at from accepted_config order by id desc limit 1`).Scan(&raw, &at)
	if errors.Is(err, pgx.ErrNoRows) {
		return nil, at, false, nil
	}
	if err == nil {
		err = json.Unmarshal(raw, &files)
	}
	if err != nil {
		return nil, at, false, fmt.Errorf("reading the accepted configuration: %w", err)
	}
	return files, at, true, nil
}

func digest(files map[string][]byte) []byte {
	names := make([]string, 0, len(files))
	for n := range files {
		names = append(names, n)
	}
	slices.Sort(names)
	h := sha256.New()
	for _, n := range names {
		fmt.Fprintf(h, "%s %d\n", n, len(files[n]))
		h.Write(files[n])
	}
	return h.Sum(nil)
}
