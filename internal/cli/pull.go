package cli

import (
	"context"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"strings"

	"budcall/internal/app"
	"budcall/internal/civil"
)

var pullCommand = command{
	name:    "pull",
	purpose: "fetch a station's past from its provider",
	text: "The days from --since on are fetched and stored, for a station of stations.yml whose provider is asked by id or place. It goes part by part: never more days at once than the provider gives, and never faster than it wants to be asked; years may take minutes. A program may be running on the same memory meanwhile; it uses the past from its next slot on.\n" +
		"What was fetched isn't fetched again, so a back-fill that was stopped, or that the provider wanted to go on later, goes on where it ended when the same command is given. A part of which the provider has nothing is told and holds back no other.\n" +
		"The readings of days are judged, stored and kept as they came, as at every pull.",
	example: "budcall pull --station KOL-MET --since 2001-01-01\nbudcall pull --station KOL-MET --since 2030-01-01 --again --dir /etc/budcall",
	define:  definePull,
}

// pullOptions is what pull was told.
type pullOptions struct {
	memory
	station, since, dir string
	again, machine      bool
}

func definePull(f *flag.FlagSet) action {
	var o pullOptions
	o.define(f)
	f.StringVar(&o.station, "station", "", "the station's `CODE` in stations.yml")
	f.StringVar(&o.since, "since", "", "the first `DAY` that is wanted, YYYY-MM-DD")
	f.StringVar(&o.dir, "dir", "", "the configuration folder `DIR`, to which the files of keys are relative; without it the present folder where programme.yml is in it, else "+packagedDir)
	f.BoolVar(&o.again, "again", false, "fetch anew what was fetched before")
	f.BoolVar(&o.machine, "json", false, "for programs: the parts, with days, rejected lines and what went wrong")
	return func(ctx context.Context, _ []string, s Streams) error { return o.do(ctx, s) }
}

func (o pullOptions) do(ctx context.Context, s Streams) error {
	if o.station == "" || o.since == "" {
		return misused("give --station CODE and --since DAY")
	}
	since, err := civil.Parse(o.since)
	if err != nil {
		return misused("--since: %v", err)
	}
	if o.dir == "" {
		o.dir = usualDir()
	}
	progress := &pullProgress{bar: barFor(s.Err), out: s.Out, quiet: o.machine}
	var filled app.Filled
	err = o.with(ctx, func(b *app.Beside) (err error) {
		filled, err = b.BackFill(ctx, app.BackFill{
			Station: o.station, Since: since, Again: o.again, Dir: o.dir, Version: version(),
			Logger: slog.New(slog.DiscardHandler), Done: progress.part,
		})
		return err
	})
	progress.end()
	if o.machine && len(filled.Parts) > 0 {
		if jsonErr := asJSON(s.Out, pullJSON(o.station, filled)); jsonErr != nil {
			return jsonErr
		}
	}
	switch {
	case err != nil:
		return err
	case filled.Failed == len(filled.Parts):
		return fmt.Errorf("nothing was stored: look at what is said of the parts, and at id: and service: of the station")
	case o.machine:
		return nil
	}
	_, err = fmt.Fprintf(s.Out, "%s: %d days stored from %d parts%s\n", o.station, filled.Stored, len(filled.Parts)-filled.Failed, failedParts(filled.Failed))
	return err
}

func failedParts(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("; %d gave nothing", n)
}

// pullProgress tells of parts as they are done.
type pullProgress struct {
	bar
	out   io.Writer
	quiet bool // only the bar
}

func (p *pullProgress) part(part app.Part) {
	if !p.quiet {
		p.end()
		fmt.Fprintln(p.out, partLine(part))
	}
	p.show(part.Number, part.Of, fmt.Sprintf("part %d of %d", part.Number, part.Of))
}

// partLine says in a line what came of a part.
func partLine(p app.Part) string {
	days := p.Days.String()
	if p.Days.First.IsZero() {
		days = "all up to " + p.Days.Last.String()
	}
	var said string
	switch {
	case p.Err != nil:
		said = "nothing: " + strings.TrimRight(p.Err.Error(), "\n")
	case !p.Before.IsZero():
		said = "fetched before, on " + civil.At(p.Before).String()
	default:
		said = fmt.Sprintf("%d days", p.Stored)
	}
	if p.Rejected > 0 {
		said += fmt.Sprintf(", %d lines rejected", p.Rejected)
	}
	if p.Trouble != "" {
		said += "; " + p.Trouble
	}
	return days + ": " + said
}

// pullPart is a part as programs read it.
type pullPart struct {
	First    string `json:"first,omitempty"`
	Last     string `json:"last"`
	Days     int    `json:"days"`
	Rejected int    `json:"rejected"`
	Before   string `json:"fetched_before,omitempty"`
	Trouble  string `json:"trouble,omitempty"`
	Error    string `json:"error,omitempty"`
}

func pullJSON(station string, f app.Filled) any {
	out := struct {
		Station string     `json:"station"`
		Days    int        `json:"days"`
		Parts   []pullPart `json:"parts"`
	}{Station: station, Days: f.Stored}
	for _, p := range f.Parts {
		j := pullPart{Last: p.Days.Last.String(), Days: p.Stored, Rejected: p.Rejected, Trouble: p.Trouble}
		if !p.Days.First.IsZero() {
			j.First = p.Days.First.String()
		}
		if !p.Before.IsZero() {
			j.Before = p.Before.UTC().Format("2006-01-02T15:04:05Z")
		}
		if p.Err != nil {
			j.Error = p.Err.Error()
		}
		out.Parts = append(out.Parts, j)
	}
	return out
}
