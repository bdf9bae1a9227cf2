package cli

import "context"

// Listen gives, for tests, the contexts that signals end.
func Listen(ctx context.Context) (working, closing context.Context, stop func()) {
	s := listen(ctx)
	return s.working, s.closing, s.close
}
