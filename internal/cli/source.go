package cli

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"

	"budcall/internal/civil"
	"budcall/internal/feed"
	"budcall/internal/weather"
)

// source is the options that say how a file of temperatures is written.
type source struct {
	format, columns, missing string
	options                  feed.Options
}

func (s *source) define(f *flag.FlagSet) {
	f.StringVar(&s.format, "format", "delimited", "how the file is written, by `NAME`: delimited, ghcn-daily or open-meteo")
	f.StringVar(&s.options.Unit, "unit", "", "delimited: `UNIT` of the temperatures, C or F, where the file doesn't state it")
	f.StringVar(&s.columns, "columns", "", "delimited: which column is which, by name or by number from 1, as `LIST`: date=Day,tmin=Min,tmax=Max")
	f.StringVar(&s.options.Separator, "separator", "", "delimited: the `CHARACTER` between columns, \",\", \";\" or tab; without it, as in the header")
	f.StringVar(&s.options.Decimal, "decimal", "", "delimited: the decimal `CHARACTER`, \".\" or \",\"; without it \".\"")
	f.StringVar(&s.options.DateLayout, "date-layout", "", "delimited: how days are written, by `LAYOUT`: "+strings.Join(feed.DateLayouts(), ", ")+"; without it YYYY-MM-DD")
	f.StringVar(&s.missing, "missing", "", "delimited: `VALUES` that mean \"no reading\", with commas between")
	f.StringVar(&s.options.Station, "station", "", "ghcn-daily: the station's `ID`, where the file holds several")
	f.IntVar(&s.options.Location, "location", 0, "open-meteo: the `N`-th place, where the answer holds several")
}

// series is the days of a file.
type series struct {
	name string // of the file, for messages
	days []weather.Day
}

// read reads a file and tells on standard error what in it was not taken.
func (s *source) read(file string, to Streams) (series, error) {
	if s.format != "delimited" && s.format != "ghcn-daily" && s.format != "open-meteo" {
		return series{}, misused("--format is %q: write delimited, ghcn-daily or open-meteo", s.format)
	}
	if err := s.lists(); err != nil {
		return series{}, err
	}
	body, name, err := open(file, to)
	if err != nil {
		return series{}, err
	}
	defer body.Close()
	batch, err := feed.Parse(s.format, body, s.options)
	if err != nil {
		return series{}, located(name, inOptions(err))
	}
	sayRejects(to.Err, name, batch)
	days, suspicion := weather.JudgeAll(batch.Days)
	if suspicion != "" {
		cure := "if so, say --unit F"
		if !takesUnit(s.format) {
			cure = "a " + s.format + " file has a unit of its own: look where it comes from"
		}
		return series{}, fmt.Errorf("%s: %s (%s)", name, suspicion, cure)
	}
	return series{name: name, days: days}, nil
}

// lists reads the options that are lists.
func (s *source) lists() error {
	if s.missing != "" {
		s.options.Missing = strings.Split(s.missing, ",")
	}
	if s.columns == "" {
		return nil
	}
	s.options.Columns = map[string]string{}
	for pair := range strings.SplitSeq(s.columns, ",") {
		name, column, ok := strings.Cut(pair, "=")
		if !ok || strings.TrimSpace(column) == "" {
			return misused("--columns: %q is no pair: write date=Day,tmin=Min,tmax=Max", pair)
		}
		s.options.Columns[strings.TrimSpace(name)] = strings.TrimSpace(column)
	}
	return nil
}

// located says in which file, and on which line, a refusal is.
func located(name string, err error) error {
	var r *feed.Refusal
	if !errors.As(err, &r) {
		return fmt.Errorf("%s: %w", name, err)
	}
	if r.Line == 0 {
		return fmt.Errorf("%s: %w", name, r)
	}
	return fmt.Errorf("%s:%d: %w", name, r.Line, &feed.Refusal{What: r.What, Cure: r.Cure})
}

// inOptions gives a refusal with what to do in the words of the options.
func inOptions(err error) error {
	var r *feed.Refusal
	if !errors.As(err, &r) {
		return err
	}
	return &feed.Refusal{Line: r.Line, What: asOptions.Replace(r.What), Cure: asOptions.Replace(r.Cure), Empty: r.Empty}
}

// mostRejects is how many lines that were not taken are listed.
const mostRejects = 20

func sayRejects(w io.Writer, name string, b feed.Batch) {
	for i, r := range b.Rejects {
		if i == mostRejects {
			break
		}
		fmt.Fprintf(w, "%s:%d: %s: %q\n", name, r.Line, asOptions.Replace(r.Reason), r.Text)
	}
	if more := len(b.Rejects) + b.MoreRejects - mostRejects; more > 0 {
		fmt.Fprintf(w, "%s: and %d more that were not taken\n", name, more)
	}
}

// season gives the days to sum: from the start to the end of the year, or of
// the file; a day earlier where the day after each is needed too.
func (s series) season(start civil.MonthDay, year int, looksAhead bool) (civil.Range, error) {
	if len(s.days) == 0 {
		return civil.Range{}, fmt.Errorf("%s holds no day: check that it is the right file", s.name)
	}
	first, end := s.days[0].Date, s.days[len(s.days)-1].Date
	if looksAhead {
		end--
	}
	if year == 0 {
		year = s.days[len(s.days)-1].Date.Year()
	}
	over := civil.Range{First: start.In(year), Last: min(end, civil.Of(year, 12, 31))}
	if over.Len() == 0 || civil.Of(year, 12, 31) < first {
		return over, fmt.Errorf("%s holds no day from %s on in that year (it reaches from %s to %s): choose another --start or --year", s.name, start.In(year), first, s.days[len(s.days)-1].Date)
	}
	return over, nil
}

// sayMissing lists the days whose heat isn't known, runs of them in one line,
// with the reason where there is one.
func (s series) sayMissing(w io.Writer, missing []civil.Date) {
	marks := map[civil.Date]weather.Mark{}
	for _, d := range s.days {
		marks[d.Date] = d.Mark
	}
	for i := 0; i < len(missing); {
		from := i
		for i++; i < len(missing) && missing[i] == missing[i-1]+1 && marks[missing[i]] == marks[missing[from]]; i++ {
		}
		days, why := missing[from].String(), "no usable temperature"
		if i-from > 1 {
			days = civil.Range{First: missing[from], Last: missing[i-1]}.String() + fmt.Sprintf(" (%d days)", i-from)
		}
		if m := marks[missing[from]]; m != weather.Usable {
			why = string(m)
		}
		fmt.Fprintf(w, "%s: missing: %s: %s\n", s.name, days, why)
	}
}
