package cli_test

import (
	"fmt"
	"os"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
)

// nonsense makes every line of a file of daily temperatures from a day on say
// what can't be, or nothing that can be read: nonsense FILE DAY.
func nonsense(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: nonsense FILE DAY")
	}
	var out strings.Builder
	n := 0
	for line := range strings.Lines(ts.ReadFile(args[0])) {
		day, _, _ := strings.Cut(line, ",")
		if day < args[1] || day == "date" {
			out.WriteString(line)
			continue
		}
		if n++; n%3 == 0 {
			out.WriteString("\x01;x\n")
		}
		fmt.Fprintf(&out, "%s,%d\n", day, 40-80*(n%2))
	}
	if n == 0 {
		ts.Fatalf("%s has no line from %s on", args[0], args[1])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(out.String()), 0o644))
}
