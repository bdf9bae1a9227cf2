package cli

import (
	"os"
	"slices"
	"strconv"
	"sync/atomic"
	"syscall"
)

// The variables by which a fault test names the point at which the process is
// to die, and on which passing of it. They count only while the clock is
// simulated, so that no program that calls real people obeys them.
const (
	crashAt    = "BUDCALL_CRASH_AT"
	crashAfter = "BUDCALL_CRASH_AFTER"
)

// crashPoints are the named points of the work.
var crashPoints = []string{"claimed", "before the dot", "sent", "before commit"}

// crashPoint gives what is to be done at the points of the work: nothing, or,
// at the named one, to die as by kill -9 the N-th time (the first, unless
// said).
func crashPoint(env func(string) string) (func(point string), error) {
	at := env(crashAt)
	if at == "" {
		return nil, nil
	}
	if !slices.Contains(crashPoints, at) {
		return nil, misused("%s is %q: write one of %q", crashAt, at, crashPoints)
	}
	last := int64(1)
	if text := env(crashAfter); text != "" {
		n, err := strconv.ParseInt(text, 10, 64)
		if err != nil || n < 1 {
			return nil, misused("%s is %q: write how many times the point is passed, from 1", crashAfter, text)
		}
		last = n
	}
	var passed atomic.Int64
	return func(point string) {
		if point == at && passed.Add(1) == last {
			_ = syscall.Kill(os.Getpid(), syscall.SIGKILL) // nobody is left to hear of an error
			select {}                                      // nor to go on
		}
	}, nil
}
