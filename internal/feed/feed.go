// Package feed is the reading of weather files: the bytes of a published or
// declared format become days, and what could not be read becomes rejects
// with a line and a reason.
//
// One format is one file of this package: it defines a Format and is added to
// the list in Formats. A parser never guesses a unit and never drops a line
// without saying so.
package feed

import (
	"fmt"
	"io"
	"strings"
	"time"
)

// Format is one way in which temperatures are written down.
type Format struct {
	Name  string   // as the settings spell it
	Brief string   // one line for people
	Needs []string // the Options a file of this format needs or may need, one line each

	// Finer formats give readings, from which days are made; a list gives
	// stations.
	Finer, List bool

	declares []string // which declarations its files need beside station, window and zone

	parse func(in *input, opt Options) (Batch, error)
	// zipped reads a zip of several files that belong together; without it a
	// zip must hold one file.
	zipped func(files archive, opt Options) (Batch, error)
}

// Options is what the settings declare about a source, because its bytes
// don't say it. Each Format's Needs tells which of them it looks at.
type Options struct {
	Station    string            // the station the days are of; selects it where a file holds several
	Columns    map[string]string // "date", "tmin", "tmax", "tmean" → header name, or number from 1
	Unit       string            // "C" or "F"; empty: the file must state it
	Separator  string            // ";", "," or tab; empty: the one the header is written with
	Decimal    string            // "." or ","; empty: "."
	DateLayout string            // one of DateLayouts; empty: YYYY-MM-DD for days, for readings the one that is proved
	Missing    []string          // values that mean "no reading", beside an empty field
	Window     Window            // the hours that a day covers, where a person knows them; for readings, those wanted
	Zone       *time.Location    // the zone whose days are wanted from a finer series, and that a named zone in Window means
	Clock      string            // fixed offset that a logger's clock was set to, where its file doesn't say: UTC, UTC+02:00
	Location   int               // which location, from 1, of an answer for several

	LeastShare   float64       // share of a day that readings must cover, 0 to 1; 0: DefaultLeastShare
	LongestGap   time.Duration // that a day's readings may leave between them; 0: DefaultLongestGap
	ReadingsOnly bool          // no days are wanted from readings, so no window is needed
}

// Parse reads r to its end as the named format; gzip, and a zip of one file,
// are unpacked. A *Refusal says that the content or the options don't serve;
// any other error comes from r. The caller names the file and limits its size.
func Parse(name string, r io.Reader, opt Options) (Batch, error) {
	f, err := find(name)
	if err != nil {
		return Batch{}, err
	}
	if err := f.refuseUnused(opt); err != nil {
		return Batch{}, err
	}
	from := &remembering{r: r}
	b, err := f.read(from, opt)
	if from.err != nil {
		return Batch{}, fmt.Errorf("reading %s data: %w", name, from.err)
	}
	if err != nil {
		return Batch{}, err
	}
	return b, nil
}

// read unpacks, parses, and makes days of readings.
func (f Format) read(r io.Reader, opt Options) (Batch, error) {
	in, err := unpack(r, f)
	if err != nil {
		return Batch{}, err
	}
	var b Batch
	if in.files != nil {
		b, err = f.zipped(in.files, opt)
	} else if err = in.looksReadable(f.Name); err == nil {
		b, err = f.parse(in, opt)
	}
	switch {
	case in.broken() != nil:
		return Batch{}, in.broken()
	case err != nil:
		return Batch{}, err
	case len(b.Readings) > 0 && !opt.ReadingsOnly:
		return b, b.makeDays(opt)
	}
	return b, nil
}

func find(name string) (Format, error) {
	var names []string
	for _, f := range Formats() {
		if f.Name == name {
			return f, nil
		}
		names = append(names, f.Name)
	}
	return Format{}, refuse("write one of "+strings.Join(names, ", "), "no format is called %q", name)
}
