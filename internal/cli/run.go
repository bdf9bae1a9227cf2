package cli

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"log/slog"
	"net"
	"os"
	"strconv"
	"strings"

	"budcall/internal/app"
	"budcall/internal/civil"
)

var runCommand = command{
	name: "run", operands: "DIR [DIR...]", least: 1, most: mostProgrammes,
	purpose: "watch the weather and call people, until stopped",
	text: "DIR is the configuration folder (see `budcall check -h`). It is looked at again every few seconds, and at once on SIGHUP; while a file in it is wrong, the one accepted before stays in force.\n" +
		"SIGTERM or Ctrl-C finishes what is in flight within 30 s; a second one ends at once. Nothing that was stored is lost either way.\n" +
		"Several folders are several programmes in one process: each has its own people, codes, memory and keys, in a folder of the state folder named for its code, and a database of its own. Those with the same listen are told apart by the path of their public_url, which a proxy must leave on. What they can't share `budcall check DIR DIR` says. One that has trouble keeps no other from its work. A programme that had the state folder to itself before keeps all that it has.\n" +
		"With --clock, time is simulated: it begins on that day and runs as fast as --pace says. That is refused unless the relay, webhooks and sources are all on this machine.",
	example: "budcall run /etc/budcall\nbudcall run /etc/budcall/north /etc/budcall/south\nbudcall run config --state /tmp/try --clock 2031-01-01 --pace 10/s",
	define:  defineRun,
}

// mostProgrammes is how many programmes one installation may have: each has up
// to 60 connections to its database.
const mostProgrammes = 16

// runOptions is what run was told.
type runOptions struct {
	memory
	clock, pace, log string
	workers          int
	renamed          map[string]string // now, by before
}

func defineRun(f *flag.FlagSet) action {
	var o runOptions
	o.definePlace(f)
	f.Func("renamed", "`OLD=NEW`: the programme's code was OLD and is NEW from now on; given once, its memory goes on under it", o.rename)
	f.StringVar(&o.clock, "clock", "", "simulate time from `DAY` on, YYYY-MM-DD; a simulation that was stopped goes on where it was")
	f.StringVar(&o.pace, "pace", "", "simulated days a second, as `N/s`; without it, as fast as the work goes")
	f.StringVar(&o.log, "log", "text", "`FORMAT` of the log on standard error: text or json")
	f.IntVar(&o.workers, "workers", 4, "`N` jobs at a time, 1 to 16, for each programme")
	return func(ctx context.Context, operands []string, s Streams) error {
		options, pace, err := o.options(s)
		if err != nil {
			return err
		}
		return serve(ctx, options, operands, running{pace, s})
	}
}

// rename takes OLD=NEW.
func (o *runOptions) rename(text string) error {
	before, now, ok := strings.Cut(text, "=")
	if !ok || before == "" || now == "" || before == now {
		return errors.New("write OLD=NEW, such as NORTH=NORDIC")
	}
	if o.renamed == nil {
		o.renamed = map[string]string{}
	}
	o.renamed[before] = now
	return nil
}

// options checks what run was told.
func (o runOptions) options(s Streams) (out app.Options, pace float64, err error) {
	if out, err = o.place(); err != nil {
		return out, 0, err
	}
	out.Workers, out.Version, out.Renamed, out.Springs = o.workers, version(), o.renamed, newSpringPlayer().replay
	if o.workers < 1 || o.workers > 16 {
		return out, 0, misused("--workers is %d: give a number from 1 to 16", o.workers)
	}
	switch o.log {
	case "text":
		out.Logger = slog.New(slog.NewTextHandler(s.Err, nil))
	case "json":
		out.Logger = slog.New(slog.NewJSONHandler(s.Err, nil))
	default:
		return out, 0, misused("--log is %q: write text or json", o.log)
	}
	if o.clock == "" {
		if o.pace != "" {
			return out, 0, misused("--pace is the pace of a simulated clock: give --clock DAY too")
		}
		return out, 0, nil
	}
	if out.Clock, err = civil.Parse(o.clock); err != nil {
		return out, 0, misused("--clock: %v", err)
	}
	if pace, err = parsePace(o.pace); err != nil {
		return out, 0, err
	}
	out.At, err = crashPoint(env)
	return out, pace, err
}

// parsePace reads days a second, "10/s"; empty is 0, as fast as it goes.
func parsePace(text string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	number, ok := strings.CutSuffix(text, "/s")
	days, err := strconv.ParseFloat(number, 64)
	if !ok || err != nil || !(days > 0 && days <= 10_000) {
		return 0, misused("--pace is %q: write simulated days a second, such as 10/s or 0.5/s", text)
	}
	return days, nil
}

// running is how the program is run, and where it says so.
type running struct {
	pace float64
	Streams
}

// serve runs the programmes of folders until a signal, or trouble, ends it.
func serve(ctx context.Context, o app.Options, dirs []string, r running) (err error) {
	sig := listen(ctx)
	defer sig.close()
	a, err := app.NewInstallation(sig.working, o, dirs)
	if err != nil {
		if sig.working.Err() != nil && errors.Is(err, context.Canceled) {
			o.Logger.Info("stopped before it was ready")
			return nil
		}
		return err
	}
	defer func() { err = errors.Join(err, a.Close(sig.closing)) }()
	sayWhere(a, r.Streams)
	announce(a, o.Logger, "READY=1")
	go func() {
		if err := a.Watch(sig.working); err != nil {
			o.Logger.Error("the watchdog isn't served", "error", err)
		}
	}()
	for sig.working.Err() == nil {
		round, again := sig.round()
		if o.Clock != 0 {
			err = a.Simulate(round, r.pace)
		} else {
			err = a.Run(round)
		}
		again()
		if err != nil && sig.working.Err() == nil {
			return err
		}
	}
	o.Logger.Info("stopping; another signal ends at once")
	announce(a, o.Logger, "STOPPING=1")
	return nil
}

func announce(a *app.Installation, log *slog.Logger, state string) {
	if err := a.Announce(state); err != nil {
		log.Warn("systemd can't be told", "state", state, "error", err)
	}
}

// sayWhere prints a line for each programme that says where the pages are.
func sayWhere(a *app.Installation, s Streams) {
	all := a.Where()
	for _, w := range all {
		whose := "budcall runs"
		if len(all) > 1 {
			whose = w.Code + " runs"
		}
		if w.Bad != nil {
			fmt.Fprintf(s.Out, "%s doesn't run, and is tried again: the log says why\n", w.Code)
			continue
		}
		metrics := "http://" + w.Metrics + "/metrics"
		if _, port, err := net.SplitHostPort(w.Metrics); err == nil && port == "0" {
			metrics = "on a free port"
		}
		fmt.Fprintf(s.Out, "%s: season board %s/, metrics %s, state in %s (process %d)\n", whose, w.Pages, metrics, w.State, os.Getpid())
	}
}
