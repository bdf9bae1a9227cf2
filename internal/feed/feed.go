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
	"math"
	"strings"
	"time"

	"budcall/internal/weather"
)

// Format is one way in which daily temperatures are written down.
type Format struct {
	Name  string   // as the settings spell it
	Brief string   // one line for people
	Needs []string // the Options a file of this format needs or may need, one line each

	parse func(body []byte, opt Options) (Batch, error)
}

// Formats lists the formats that can be read, by name.
func Formats() []Format { return []Format{delimited, ghcnDaily, metno, openMeteo} }

// Options is what the settings declare about a source, because its bytes
// don't say it. Each Format's Needs tells which of them it looks at.
type Options struct {
	Station    string            // the station the days are of; selects it where a file holds several
	Columns    map[string]string // "date", "tmin", "tmax", "tmean" → header name, or number from 1
	Unit       string            // "C" or "F"; empty: the file must state it
	Separator  string            // ";", "," or tab; empty: the one the header is written with
	Decimal    string            // "." or ","; empty: "."
	DateLayout string            // one of DateLayouts; empty: YYYY-MM-DD
	Missing    []string          // values that mean "no reading", beside an empty field
	Window     Window            // the hours that a row's day covers, where a person knows them
	Zone       *time.Location    // the zone whose days are wanted from a finer series
	Location   int               // which location, from 1, of an answer for several
}

// Batch is what was understood of one file or answer.
type Batch struct {
	Station string
	Days    []weather.Day // every day the file names, sorted, each once; a day named without a value is a missing day

	Rejects       []Reject // what was not taken, at most MaxRejects of them, in order
	MoreRejects   int      // how many further ones there were
	Partial       []Reject // first or last day of a forecast that is covered only in part, which is usual
	MissingValues int      // values that the file itself calls missing
	OtherRecords  int      // well-formed records of other elements or stations

	Window Window
	Issued time.Time // when a forecast was made; zero when the answer doesn't say
	Place  Place
	Credit string // licence and credit to show with the data; empty for one's own files
}

// Reject is a line, record or value that was not taken, and why.
type Reject struct {
	Line   int    // from 1; in JSON the number of the entry
	Text   string // the line or value, shortened
	Reason string
}

// String gives the reject as one line for people.
func (r Reject) String() string { return fmt.Sprintf("line %d: %s: %q", r.Line, r.Reason, r.Text) }

// Place is where the answer says its values hold; NaN is not said.
type Place struct {
	LatitudeDeg, LongitudeDeg, AltitudeM float64
}

// nowhere is the place of a file that doesn't name one.
func nowhere() Place { return Place{math.NaN(), math.NaN(), math.NaN()} }

// MaxRejects is how many rejects a Batch lists; the rest is counted.
const MaxRejects = 1000

// Refusal is a file that can't be used as it is, or settings that don't fit
// it. Nothing of such a file is taken.
type Refusal struct {
	Line int    // 0 when the file as a whole is meant
	What string // what is wrong
	Cure string // what to do
}

// Error gives line, what and cure in one line.
func (r *Refusal) Error() string {
	text := r.What
	if r.Line > 0 {
		text = fmt.Sprintf("line %d: %s", r.Line, text)
	}
	if r.Cure == "" {
		return text
	}
	return text + " (" + r.Cure + ")"
}

func refuse(cure, what string, args ...any) error {
	return &Refusal{What: fmt.Sprintf(what, args...), Cure: cure}
}

// Parse reads r to its end as the named format. A *Refusal says that the
// content or the options don't serve; any other error comes from r. The
// caller names the file and limits its size.
func Parse(name string, r io.Reader, opt Options) (Batch, error) {
	f, err := find(name)
	if err != nil {
		return Batch{}, err
	}
	body, err := readAll(r)
	if err != nil {
		return Batch{}, fmt.Errorf("reading %s data: %w", name, err)
	}
	if err := looksReadable(body, name); err != nil {
		return Batch{}, err
	}
	b, err := f.parse(body, opt)
	if err != nil {
		return Batch{}, err
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
