// Command budcall watches the weather at birch breeding sites and calls people
// to the trees on the right days.
package main

import (
	"context"
	"os"

	"budcall/internal/cli"
)

func main() {
	os.Exit(cli.Run(context.Background(), os.Args[1:], cli.Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}))
}
