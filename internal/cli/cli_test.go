package cli_test

import (
	"context"
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"budcall/internal/cli"
	"budcall/internal/testpg"
)

// runner throws the database for tests away after them.
type runner struct{ *testing.M }

func (r runner) Run() int { return testpg.Run(r.M) }

func TestMain(m *testing.M) {
	testscript.Main(runner{m}, map[string]func(){
		"budcall": func() {
			os.Exit(cli.Run(context.Background(), os.Args[1:], cli.Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}))
		},
	})
}

// Each script is a session at the keyboard: what is typed, what is answered,
// which exit status it has.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script", RequireExplicitExec: true, RequireUniqueNames: true,
		Setup: setup, Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"example": example, "await": await, "status": status, "nonsense": nonsense, "climate": climate, "fmi": fmi, "damage": damage, "looked": looked, "replace": replace, "lives": lives, "traces": traces, "owes": owes, "outside": outside(t),
		},
	})
}
