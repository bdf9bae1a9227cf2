package feed

import (
	"fmt"
	"math"
	"time"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// Batch is what was understood of one file or answer.
type Batch struct {
	Station string
	Days    []weather.Day // every day the file names, sorted, each once; a day named without a value is a missing day
	MeanOf  MeanOf        // how the days' MeanC came about

	Readings    []Reading      // of a series finer than a day, sorted by time, each moment once
	Provisional []weather.Day  // days whose hours weren't over at the newest reading, from what is there; never among Days
	Covered     []float64      // of each of them the share, 0 to 1, that has been read
	Winds       []weather.Wind // of a format that has them, sorted, each day once
	Stations    []StationEntry // of a station list

	Rejects       []Reject       // what was not taken, at most MaxRejects of them, in order
	MoreRejects   int            // how many further ones there were
	Partial       []Reject       // first or last day of a series that is covered only in part, which is usual
	MissingValues int            // temperatures that the file itself calls missing
	OtherRecords  int            // well-formed records of other elements or stations, and a logger's events
	Flags         map[string]int // quality codes met among the temperatures, such as "QN_4 10", whatever was done with them
	Notes         []string       // what a person should know of the file, one sentence each

	Window Window    // what a day is; not stated where the file and the options are silent, or where Eras differ
	Eras   []Era     // where the file states the day's definition by period, in order
	Issued time.Time // when a forecast was made; zero when the answer doesn't say
	Place  Place
	// ranks is how good the provider thinks each day is, where it ranks them;
	// higher is better.
	ranks map[civil.Date]int32

	Credit string // licence and credit to show with the data; empty for one's own files
}

// MeanOf tells how a daily mean came about. Means of two kinds differ by up to
// several kelvin on a day and must not be mixed in one sum without saying so.
type MeanOf string

// Kind gives the same as the days of a memory have it.
func (m MeanOf) Kind() weather.MeanOf {
	switch m {
	case MeanPublished:
		return weather.MeanPublished
	case MeanReadings:
		return weather.MeanReadings
	case MeanStated:
		return weather.MeanStated
	case MeanMidRange:
		return weather.MeanMidRange
	}
	return weather.MeanUnknown
}

// The kinds of a daily mean; empty where no mean is given.
const (
	MeanPublished MeanOf = "published by the provider"
	MeanReadings  MeanOf = "mean of the readings"
	MeanStated    MeanOf = "as the file gives it"
	MeanMidRange  MeanOf = "(max+min)/2 by the provider"
)

// Era is a period in which a file's days have one definition.
type Era struct {
	Days     civil.Range
	Window   Window // of the extremes; not stated where the words say none
	MeanRule string // how the mean is made, in the file's own words
	Said     string // the window in the file's own words
}

// StationEntry is one line of a provider's station list.
type StationEntry struct {
	ID, Name, Region string
	Place            Place
	First, Last      civil.Date // of the data; no date where the list doesn't say
	Measures         Measures
}

// Measures is what a list tells of what a station measures.
type Measures uint8

// What a list may tell.
const (
	MeasuresUnsaid      Measures = iota // nothing
	MeasuresTemperature                 // a day's temperature, in the years that the list gives
	MeasuresOther                       // other things only
)

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
