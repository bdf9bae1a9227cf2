package cli

import "context"

// RunRead runs the command read alone.
func RunRead(ctx context.Context, args []string, s Streams) int { return readCommand.run(ctx, args, s) }
