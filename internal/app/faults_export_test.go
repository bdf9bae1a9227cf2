package app

import (
	"context"
	"time"

	"budcall/internal/web"
)

// Board gives the season board as the pages see it.
func (a *App) Board(ctx context.Context) (web.Board, error) { return a.pages.Board(ctx) }

// Look looks at the configuration folder again, as the program does by itself
// every few seconds.
func (a *App) Look(ctx context.Context) error { return a.conf.look(ctx) }

// Tests look more often what has fallen due, and leave a preview more time on a
// busy machine.
func init() { tick, previewWithin = 100*time.Millisecond, 3*time.Minute }

// LocalDSN is the address of the private PostgreSQL.
func (a *App) LocalDSN() string { return a.local.DSN() }
