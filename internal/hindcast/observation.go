package hindcast

import (
	"encoding/csv"
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

// Refusal is a line that isn't used, and why.
type Refusal struct {
	Line   int
	Reason string
}

// columnNames are our names for columns, and by which of a header each is known.
var columnNames = map[string][]string{
	"series":           {"series", "dataset"},
	"site":             {"site", "plot", "station", "region", "location"},
	"tree":             {"tree", "tree_id", "individual"},
	"species":          {"species"},
	"phase":            {"phase", "stage"},
	"year":             {"year"},
	"doy":              {"doy", "day_of_year"},
	"lat":              {"lat", "latitude"},
	"temperature_file": {"temperature_file"},
}

// header maps our names to columns.
type header map[string]int

// readHeader finds the columns; of several names for one thing the first in
// our list counts.
func readHeader(fields []string) (header, error) {
	at := map[string]int{}
	for i, f := range fields {
		f = strings.ToLower(strings.TrimSpace(strings.TrimPrefix(f, "\ufeff")))
		if _, twice := at[f]; !twice {
			at[f] = i
		}
	}
	h := header{}
	for name, known := range columnNames {
		for _, k := range known {
			if i, ok := at[k]; ok {
				h[name] = i
				break
			}
		}
	}
	if _, ok := h["site"]; !ok {
		if i, tree := h["tree"]; tree {
			h["site"] = i
			delete(h, "tree")
		}
	}
	for _, need := range []string{"site", "species", "phase", "year", "doy", "temperature_file"} {
		if _, ok := h[need]; !ok {
			return nil, fmt.Errorf("line 1: no column is called %s: give at least site,species,phase,year,doy,temperature_file, in any order", need)
		}
	}
	return h, nil
}

func (h header) get(fields []string, name string) string {
	i, ok := h[name]
	if !ok || i >= len(fields) {
		return ""
	}
	return strings.TrimSpace(fields[i])
}

// ReadObservations reads comma-separated observations. Columns may stand in
// any order, and others beside them; a site may be called plot, station,
// region or tree. A line that can't be read is refused, and the rest is used.
func ReadObservations(r io.Reader) ([]Observation, []Refusal, error) {
	c := csv.NewReader(r)
	c.FieldsPerRecord, c.LazyQuotes, c.TrimLeadingSpace, c.Comment = -1, true, true, '#'
	first, err := c.Read()
	if err != nil {
		return nil, nil, fmt.Errorf("line 1: reading the header: %w: give a comma-separated file with a header", err)
	}
	h, err := readHeader(first)
	if err != nil {
		return nil, nil, err
	}
	var all []Observation
	var refused []Refusal
	for {
		fields, err := c.Read()
		if errors.Is(err, io.EOF) {
			return all, refused, nil
		}
		if err != nil {
			return nil, nil, fmt.Errorf("%w: correct the line or take it out", err)
		}
		line, _ := c.FieldPos(0)
		o, err := h.observation(fields)
		if o.Line = line; err != nil {
			refused = append(refused, Refusal{line, err.Error()})
			continue
		}
		all = append(all, o)
	}
}

func (h header) observation(fields []string) (Observation, error) {
	o := Observation{
		Series: h.get(fields, "series"), Site: h.get(fields, "site"), Tree: h.get(fields, "tree"),
		Species: h.get(fields, "species"), Phase: h.get(fields, "phase"),
		TemperatureFile: h.get(fields, "temperature_file"), LatitudeDeg: math.NaN(),
	}
	if o.Site == "" {
		return o, errors.New("it names no site: give one")
	}
	var err error
	if o.Year, err = strconv.Atoi(h.get(fields, "year")); err != nil || o.Year < 1 || o.Year > 9999 {
		return o, fmt.Errorf("%q is no year: write one such as 2031", h.get(fields, "year"))
	}
	doy, err := strconv.ParseFloat(h.get(fields, "doy"), 64)
	first := civil.Of(o.Year, 1, 1)
	last := float64(civil.Of(o.Year, 12, 31) - first + 1)
	if err != nil || !(doy >= 1) || math.Round(doy) > last {
		return o, fmt.Errorf("%q is no day of %d: write a number from 1 to %.0f", h.get(fields, "doy"), o.Year, last)
	}
	o.Day = first + civil.Date(math.Round(doy)) - 1
	if lat, err := strconv.ParseFloat(h.get(fields, "lat"), 64); err == nil && math.Abs(lat) <= 90 {
		o.LatitudeDeg = lat
	}
	return o, nil
}
