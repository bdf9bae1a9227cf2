package cli

import (
	"context"
	"flag"
	"fmt"
	"strings"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

var readCommand = command{
	name: "read", operands: "FORMAT FILE...", most: 1000,
	purpose: "print what a weather file of some format holds, as plain CSV",
	text: "The days are printed as date,tmin_c,tmax_c,tmean_c; an empty field is a value that is missing, or that two lines contradict. Lines that were not taken, with the reason, and counts go to standard error. - reads standard input; gzip, and a zip of one file, are unpacked.\n" +
		"Several files must be of one station: what the first doesn't say is taken from the next. Nothing is guessed: where a file doesn't say its unit, its clock or which hours are a day, it is refused with what to add.\n" +
		"From a file of readings (a logger, hourly values) the days are made: each needs enough of its hours, see --share and --gap. --readings prints the readings themselves.",
	example: "budcall read --list\nbudcall read ghcn-daily USC00411885.dly\nbudcall read logger --window \"00-24 UTC+02:00\" site.csv\nbudcall read logger --columns time=2,temp=4 --unit C --zone UTC --missing=-200 --readings soil.csv",
	define:  defineRead,
}

// readFlags is what read was told, as it was typed.
type readFlags struct {
	source
	window, zone                   string
	list, readings, winds, machine bool
}

func defineRead(f *flag.FlagSet) action {
	r := &readFlags{}
	o := &r.options
	f.BoolVar(&r.list, "list", false, "name the formats with one line each, and nothing else")
	f.StringVar(&o.Station, "station", "", "the station's `ID`, where a file holds several")
	f.StringVar(&r.window, "window", "", "which hours are a day, as `HOURS`: \"00-24 UTC\", \"18-18 UTC end\", \"00-24 UTC+02:00\" (local standard time), \"07-07 UTC+01:00 start\"")
	f.StringVar(&r.zone, "zone", "", "`ZONE` of the days that are wanted from readings or a forecast, such as Europe/Helsinki; for a logger the fixed offset of its clock, such as UTC+02:00")
	f.StringVar(&o.Unit, "unit", "", "delimited, logger, ghcn-cdo: `UNIT` of the temperatures, C or F, where the file doesn't state it")
	f.StringVar(&r.columns, "columns", "", "delimited, logger: which column is which, by name or by number from 1, as `LIST`: date=Day,tmin=Min,tmax=Max, or time=2,temp=4")
	f.StringVar(&o.Separator, "separator", "", "delimited, logger: the `CHARACTER` between columns, \",\", \";\" or tab; without it, as in the header")
	f.StringVar(&o.Decimal, "decimal", "", "delimited, logger: the decimal `CHARACTER`, \".\" or \",\"")
	f.StringVar(&o.DateLayout, "date-layout", "", "delimited, logger: how days are written, by `LAYOUT`: "+strings.Join(feed.DateLayouts(), ", "))
	f.StringVar(&r.missing, "missing", "", "delimited, logger: `VALUES` that mean \"no reading\", with commas between")
	f.IntVar(&o.Location, "location", 0, "open-meteo: the `N`-th place, where the answer holds several")
	f.Float64Var(&o.LeastShare, "share", feed.DefaultLeastShare, "`SHARE` of a day that readings must cover, 0 to 1")
	o.LongestGap = feed.DefaultLongestGap
	f.Var(gap{&o.LongestGap}, "gap", "longest `TIME` that may lie between two readings of a day")
	f.BoolVar(&r.readings, "readings", false, "print the readings as time,temp_c,tmin_c,tmax_c instead of days")
	f.BoolVar(&r.winds, "wind", false, "print the wind as date,mean_ms,max_ms,gust_ms instead of temperatures")
	f.BoolVar(&r.machine, "json", false, "for programs: everything that was understood, with rejects and counts")
	return r.do
}

func (r *readFlags) do(_ context.Context, operands []string, s Streams) error {
	if r.list {
		if len(operands) > 0 {
			return misused("--list takes no arguments, and %q was given", operands[0])
		}
		return listFormats(s)
	}
	if len(operands) < 2 {
		return misused("give a format and at least one file; --list names the formats")
	}
	format, err := formatOf(operands[0])
	if err != nil {
		return err
	}
	if err := r.settle(); err != nil {
		return err
	}
	b, files, err := r.parse(format, operands[1:], s)
	if err != nil {
		return err
	}
	if r.readings && len(b.Readings) == 0 {
		return fmt.Errorf("%s holds days, not readings: leave --readings out", strings.Join(operands[1:], ", "))
	}
	if r.winds && len(b.Winds) == 0 {
		return fmt.Errorf("%s holds no wind that this program reads", strings.Join(operands[1:], ", "))
	}
	return r.tell(s, format, b, files)
}

// tell prints what was read, and what of it is wrong.
func (r *readFlags) tell(s Streams, format feed.Format, b feed.Batch, files []readFile) error {
	var names []string
	for _, f := range files {
		if f.name != together {
			names = append(names, f.name)
		}
	}
	name := strings.Join(names, ", ")
	if err := asksOtherDays(name, b, r.options.Window); err != nil {
		return err
	}
	nothing := nothingTaken(b, files)
	var err error
	switch {
	case r.machine:
		judged := b
		judged.Days, _ = weather.JudgeAll(b.Days)
		err = asJSON(s.Out, readJSON(format.Name, judged, files))
	case !nothing:
		err = r.print(s.Out, format, b)
	}
	if err != nil {
		return err
	}
	if !r.machine {
		sayBatch(s.Err, name, b, files)
	}
	sayImpossible(s.Err, name, format.Name, b)
	if nothing {
		return fmt.Errorf("%s: no value in it was taken, for the reasons that are told: look whether it is %s, and whole", name, format.Name)
	}
	return nil
}

// settle turns window, zone and lists into options.
func (r *readFlags) settle() error {
	o := &r.options
	if err := r.lists(); err != nil {
		return err
	}
	o.ReadingsOnly = r.readings
	if !(o.LeastShare > 0 && o.LeastShare <= 1) {
		return misused("--share is %g: write a share above 0 and up to 1", o.LeastShare)
	}
	if r.zone != "" {
		zone, fixed := feed.FixedOffset(r.zone)
		if fixed {
			o.Clock = r.zone
		} else {
			var err error
			if zone, err = loadZone("--zone", r.zone); err != nil {
				return err
			}
		}
		o.Zone = zone
	}
	if r.window == "" {
		return nil
	}
	w, err := feed.ParseWindow(r.window)
	if err != nil {
		return misused("--window: %v", err)
	}
	o.Window = w
	if _, fixed := feed.FixedOffset(w.Zone); !fixed {
		o.Zone, err = loadZone("--window", w.Zone)
	}
	return err
}

func formatOf(name string) (feed.Format, error) {
	var known []string
	for _, f := range feed.Formats() {
		if f.Name == name {
			return f, nil
		}
		known = append(known, f.Name)
	}
	return feed.Format{}, misused("there is no format %q%s: --list names them", name, meant(name, known))
}

// together is what is said of several files as one.
const together = "the files together"

// readFile is what one file gave.
type readFile struct {
	name  string
	batch feed.Batch
}

// parse reads the files and puts them together.
func (r *readFlags) parse(format feed.Format, names []string, s Streams) (feed.Batch, []readFile, error) {
	opt := r.options
	opt.ReadingsOnly = opt.ReadingsOnly || format.Finer && len(names) > 1
	var files []readFile
	var parts []feed.Batch
	for _, operand := range names {
		body, name, err := open(operand, s)
		if err != nil {
			return feed.Batch{}, nil, err
		}
		b, err := feed.Parse(format.Name, body, opt)
		body.Close()
		if err != nil {
			return feed.Batch{}, nil, located(name, inOptions(err))
		}
		files, parts = append(files, readFile{name, b}), append(parts, b)
	}
	if len(parts) == 1 {
		return parts[0], files, nil
	}
	b, err := feed.Merge(parts, r.options)
	if err != nil {
		return b, nil, fmt.Errorf("%s: %w", strings.Join(names, ", "), inOptions(err))
	}
	return b, append(files, readFile{together, feed.Batch{Rejects: b.Rejects, MoreRejects: b.MoreRejects, Partial: b.Partial}}), nil
}

func listFormats(s Streams) error {
	var rows [][]string
	for _, f := range feed.Formats() {
		rows = append(rows, []string{f.Name, f.Brief})
	}
	return table(s.Out, rows)
}
