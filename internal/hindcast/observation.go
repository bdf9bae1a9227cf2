package hindcast

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"budcall/internal/civil"
)

// Observation is one line of a file of observations: on which day a stage was
// reached at a site or on a tree.
type Observation struct {
	Line            int
	Series          string
	Site, Tree      string
	Species, Phase  string
	Year            int
	Day             civil.Date
	LatitudeDeg     float64 // NaN where it isn't given
	TemperatureFile string
}

// columnNames are our names for columns, and by which of a header each is
// known. Upper and lower case are alike.
var columnNames = map[string][]string{
	"series":           {"series", "dataset"},
	"site":             {"site", "site_id", "site_name", "plot", "plot_id", "station", "station_id", "region", "location"},
	"tree":             {"tree", "tree_id", "plant", "plant_id", "individual", "individual_id"},
	"species":          {"species", "taxon"},
	"phase":            {"phase", "stage", "phenophase"},
	"year":             {"year"},
	"doy":              {"doy", "day_of_year", "dayofyear", "yday", "julian_day"},
	"date":             {"date", "day", "observed", "observation_date"},
	"lat":              {"lat", "latitude"},
	"temperature_file": {"temperature_file", "temperatures", "station_file"},
}

// wanted is what the message of a missing column tells.
const wanted = "give at least site,species,phase,year,doy,temperature_file, in any order; date may stand for year,doy"

// observationColumns finds the columns; a file that knows only trees has a
// site of each.
func observationColumns(header []string) (columns, error) {
	c := find(header, columnNames)
	if !c.has("site") && c.has("tree") {
		c["site"] = c["tree"]
		delete(c, "tree")
	}
	need := []string{"site", "species", "phase"}
	if !c.has("date") {
		need = append(need, "year", "doy")
	}
	for _, name := range append(need, "temperature_file") {
		if !c.has(name) {
			return nil, fmt.Errorf("line 1: no column is called %s: %s", strings.Join(columnNames[name], " or "), wanted)
		}
	}
	return c, nil
}

// ReadObservations reads observations separated by commas, semicolons or tabs.
// Columns may stand in any order, and others beside them; a site may be called
// plot, station, region or tree. The day is year and day of year, or a date. A
// line that can't be read is refused, and the rest is used.
func ReadObservations(r io.Reader) ([]Observation, []Refusal, error) {
	t, err := newRows(r)
	if err != nil {
		return nil, nil, err
	}
	c, err := observationColumns(t.header)
	if err != nil {
		return nil, nil, err
	}
	var all []Observation
	var refused []Refusal
	for {
		fields, line, broken, err := t.next()
		switch {
		case errors.Is(err, io.EOF):
			return all, refused, nil
		case err != nil:
			return nil, nil, fmt.Errorf("reading the lines: %w: see that the file can be read", err)
		case broken != nil:
			refused = append(refused, *broken)
			continue
		}
		o, err := observed(t, c, fields)
		if o.Line = line; err != nil {
			refused = append(refused, Refusal{Line: line, Reason: err.Error(), of: o})
			continue
		}
		all = append(all, o)
	}
}

func observed(t *rows, c columns, fields []string) (Observation, error) {
	o := Observation{
		Series: c.get(fields, "series"), Site: c.get(fields, "site"), Tree: c.get(fields, "tree"),
		Species: c.get(fields, "species"), Phase: c.get(fields, "phase"),
		TemperatureFile: c.get(fields, "temperature_file"), LatitudeDeg: math.NaN(),
	}
	if o.Site == "" {
		return o, errors.New("it names no site: give one")
	}
	if lat, err := t.number(c.get(fields, "lat")); err == nil && math.Abs(lat) <= 90 {
		o.LatitudeDeg = lat
	}
	var err error
	if date := c.get(fields, "date"); date != "" {
		if o.Day, err = parseDay(date); err != nil {
			return o, err
		}
		o.Year = o.Day.Year()
		return o, o.agrees(t, c, fields)
	}
	o.Year, o.Day, err = dayOfYearOf(t, c, fields)
	return o, err
}

// agrees refuses a line whose date and year, or day of year, contradict each
// other.
func (o Observation) agrees(t *rows, c columns, fields []string) error {
	if year := c.get(fields, "year"); year != "" && year != strconv.Itoa(o.Year) {
		return fmt.Errorf("the day is %s and the year %s: correct one of them", o.Day, year)
	}
	text := c.get(fields, "doy")
	if doy, err := t.number(text); text != "" && (err != nil || math.Abs(doy-float64(1+dayOfYear(o))) > 1) {
		return fmt.Errorf("the day is %s, which is day %d of its year and not %s: correct one of them", o.Day, 1+dayOfYear(o), text)
	}
	return nil
}

// dayOfYearOf reads year and day of year; part of a day is rounded.
func dayOfYearOf(t *rows, c columns, fields []string) (year int, day civil.Date, err error) {
	text := c.get(fields, "year")
	y, err := t.number(text)
	if err != nil || y < 1 || y > 9999 || y != math.Trunc(y) {
		return 0, 0, fmt.Errorf("%q is no year: write one such as 2031", text)
	}
	year = int(y)
	text = c.get(fields, "doy")
	doy, err := t.number(text)
	first := civil.Of(year, 1, 1)
	last := float64(civil.Of(year, 12, 31) - first + 1)
	if err != nil || !(doy >= 1) || math.Round(doy) > last {
		return year, 0, fmt.Errorf("%q is no day of %d: write a number from 1 to %.0f", text, year, last)
	}
	return year, first + civil.Date(math.Round(doy)) - 1, nil
}
