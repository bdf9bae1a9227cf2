package cli

import (
	"context"
	"flag"
	"fmt"
	"net/http"
	"runtime"
	"runtime/debug"
	"time"
)

// Version is the program's version, set when it is built with
// -ldflags "-X budcall/internal/cli.Version=1.2.3"; without it, what the Go
// tool knows of the source is said.
var Version string

var versionCommand = command{
	name:    "version",
	purpose: "print the version, or ask a running budcall for a sign of life",
	text:    "With --alive nothing is printed unless something is wrong; the exit status is 0 where the address answers 200 within 5 seconds, else 1. It is for health checks of containers, in which there is no other program to ask with.",
	example: "budcall version\nbudcall version --alive http://127.0.0.1:8485/healthz",
	define:  defineVersion,
}

func defineVersion(f *flag.FlagSet) action {
	alive := f.String("alive", "", "ask the address `URL`, such as http://127.0.0.1:8485/healthz")
	machine := f.Bool("json", false, "for programs: version, go, platform")
	return func(ctx context.Context, _ []string, s Streams) error {
		if *alive != "" {
			return askAlive(ctx, *alive)
		}
		platform := runtime.GOOS + "/" + runtime.GOARCH
		if *machine {
			return asJSON(s.Out, map[string]string{"version": version(), "go": runtime.Version(), "platform": platform})
		}
		_, err := fmt.Fprintf(s.Out, "budcall %s (%s, %s)\n", version(), runtime.Version(), platform)
		return err
	}
}

// version gives the version that was set, else the module's, else the commit.
func version() string {
	if Version != "" {
		return Version
	}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	if v := info.Main.Version; v != "" && v != "(devel)" {
		return v
	}
	out := "devel"
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision" && len(s.Value) >= 12:
			out += "-" + s.Value[:12]
		case s.Key == "vcs.modified" && s.Value == "true":
			out += "-changed"
		}
	}
	return out
}

// aliveWithin is how long an answer may take.
const aliveWithin = 5 * time.Second

func askAlive(ctx context.Context, url string) error {
	ctx, cancel := context.WithTimeout(ctx, aliveWithin)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, url, nil)
	if err != nil {
		return misused("%q is no address: %v", url, err)
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		return fmt.Errorf("no sign of life: %w (is budcall running, and is it the address of its metrics?)", err)
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		return fmt.Errorf("no sign of life: %s answered %s (look into budcall's log)", url, answer.Status)
	}
	return nil
}
