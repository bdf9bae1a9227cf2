package cli

import (
	"cmp"
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
	purpose: "fetch the past of a station, or of all of a site's, from its provider",
	text: "The days from --since on, or of --years whole years before this one, are fetched and stored, for stations of stations.yml whose provider is asked by id or place: one with --station, all of a site's with --site. It goes part by part: never more days at once than the provider gives, and never faster than it wants to be asked; years may take minutes. A program may be running on the same memory meanwhile; it uses the past from its next slot on.\n" +
		"What was fetched isn't fetched again, so a back-fill that was stopped, or that the provider wanted to go on later, goes on where it ended when the same command is given. Ctrl-C stops it, and says what is had and what is left. A part of which the provider has nothing is told and holds back no other, nor does one that failed, such as by an answer that holds other days than those asked for: it stays to be fetched, and the exit status is 1. Nor does a provider that wants to be left alone hold back another's stations.\n" +
		"The readings of days are judged, stored and kept as they came, as at every pull.",
	example: "budcall pull --site KOL --years 30\nbudcall pull --station KOL-MET --since 2001-01-01\nbudcall pull --station KOL-MET --since 2030-01-01 --again --dir /etc/budcall",
	define:  definePull,
}

// pullOptions is what pull was told.
type pullOptions struct {
	memory
	station, site, since, dir string
	years                     int
	again, machine            bool
}

func definePull(f *flag.FlagSet) action {
	var o pullOptions
	o.define(f)
	f.StringVar(&o.station, "station", "", "the station's `CODE` in stations.yml")
	f.StringVar(&o.site, "site", "", "the `CODE` of a site, all of whose stations are meant")
	f.IntVar(&o.years, "years", 0, "how many whole years before this one are wanted, and this one: `N`, such as 30")
	f.StringVar(&o.since, "since", "", "the first `DAY` that is wanted, YYYY-MM-DD")
	f.StringVar(&o.dir, "dir", "", "the configuration folder `DIR`, to which the files of keys are relative; without it the present folder where programme.yml is in it, else "+packagedDir)
	f.BoolVar(&o.again, "again", false, "fetch anew what was fetched before")
	f.BoolVar(&o.machine, "json", false, "for programs: the parts, with days, rejected lines and what went wrong")
	return func(ctx context.Context, _ []string, s Streams) error { return o.do(ctx, s) }
}

func (o pullOptions) do(ctx context.Context, s Streams) error {
	wanted, err := o.wanted()
	if err != nil {
		return err
	}
	progress := &pullProgress{bar: barFor(s.Err), out: s.Out, quiet: o.machine, named: o.site != ""}
	wanted.Done = progress.part
	var filled app.Filled
	sig := listen(ctx)
	defer sig.close()
	ctx = sig.working
	err = o.with(ctx, func(b *app.Beside) (err error) {
		filled, err = b.BackFill(ctx, wanted)
		return err
	})
	progress.end()
	if o.machine && len(filled.Parts) > 0 {
		if jsonErr := asJSON(s.Out, pullJSON(o, filled)); jsonErr != nil {
			return jsonErr
		}
	}
	for _, l := range filled.LeftOut {
		if err == nil {
			fmt.Fprintln(s.Err, l.Why)
		}
	}
	switch {
	case err != nil:
		return err
	case filled.Failed+filled.Nothing == len(filled.Parts):
		return fmt.Errorf("nothing was stored: look at what is said of the parts, and at id: and service: of the station")
	}
	if !o.machine {
		if _, err := fmt.Fprintln(s.Out, o.summary(filled)); err != nil {
			return fmt.Errorf("writing the answer: %w", err)
		}
	}
	if filled.Failed > 0 {
		return fmt.Errorf("%d of %s failed: mend what is said of them, and give the same command again, which fetches only what is missing", filled.Failed, counted(filled.Wanted, "part"))
	}
	return nil
}

// summary says in a line what came of all parts.
func (o pullOptions) summary(f app.Filled) string {
	text := fmt.Sprintf("%s: %s stored from %s", o.of(), counted(f.Stored, "day"), counted(len(f.Parts)-f.Failed-f.Nothing, "part"))
	if f.Nothing > 0 {
		text += fmt.Sprintf("; %d gave nothing", f.Nothing)
	}
	return text
}

// mostYears is how many years are asked for at most. No further back than
// app.OldestPast anybody is asked.
const mostYears = 300

// wanted checks what was asked for.
func (o pullOptions) wanted() (b app.BackFill, err error) {
	switch {
	case (o.station == "") == (o.site == ""):
		return b, misused("give --station CODE or --site CODE, and --since DAY or --years N")
	case (o.since == "") == (o.years == 0):
		return b, misused("give --since DAY or --years N, such as --years 30")
	case o.years < 0 || o.years > mostYears:
		return b, misused("--years is %d: write 1 to %d", o.years, mostYears)
	}
	if o.dir == "" {
		o.dir = usualDir()
	}
	b = app.BackFill{Station: o.station, Site: o.site, Years: o.years, Again: o.again, Dir: o.dir, Version: version(), Logger: slog.New(slog.DiscardHandler)}
	if o.since != "" {
		if b.Since, err = civil.Parse(o.since); err != nil {
			return b, misused("--since: %v", err)
		}
		if b.Since < app.OldestPast {
			return b, misused("--since is %s: no provider has days that old, write %s or later", b.Since, app.OldestPast)
		}
	}
	return b, nil
}

// of is the code of what was asked for.
func (o pullOptions) of() string { return cmp.Or(o.site, o.station) }

// pullProgress tells of parts as they are done.
type pullProgress struct {
	bar
	out   io.Writer
	quiet bool // only the bar
	named bool // each line begins with its station
}

func (p *pullProgress) part(part app.Part) {
	if !p.quiet {
		p.end()
		line := partLine(part)
		if p.named {
			line = part.Station + " " + line
		}
		fmt.Fprintln(p.out, line)
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
	case p.Err != nil && !p.Nothing:
		said = "not fetched: " + strings.TrimRight(p.Err.Error(), "\n")
	case p.Err != nil:
		said = "nothing: " + strings.TrimRight(p.Err.Error(), "\n")
	case !p.Before.IsZero():
		said = "fetched before, on " + civil.At(p.Before).String()
	default:
		said = counted(p.Stored, "day")
	}
	if p.Rejected > 0 {
		said += ", " + counted(p.Rejected, "line") + " rejected"
	}
	if p.Trouble != "" {
		said += "; " + p.Trouble
	}
	return days + ": " + said
}
