package testpg

import (
	"fmt"
	"os"
)

// Run is Main for a TestMain that has more to do after the tests: it gives
// their exit status.
func Run(m interface{ Run() int }) int {
	code := m.Run()
	if err := ours.close(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = max(code, 1)
	}
	return code
}
