package advance

import (
	"context"

	"budcall/internal/call"
	"budcall/internal/season"
)

// Blind tells whether a site is blind with calls that stand as given.
func Blind(ctx context.Context, r Reader, t Task, calls map[call.Task]season.State) bool {
	g, err := running(ctx, r, t, nil)
	return err == nil && g.blind(t, calls)
}
