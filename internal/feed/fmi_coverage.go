package feed

import (
	"iter"
	"strconv"
	"strings"
	"time"

	"budcall/internal/civil"
)

// fmiCoverage is the parts of a multipointcoverage: positions of latitude,
// longitude and epoch, values in rows of one position each, and the names of
// their columns. Line breaks mean nothing in either.
type fmiCoverage struct {
	positions, values string
	fields            []string
}

// spread gives the coverage's values one by one.
func (g *fmiAnswer) spread() error {
	c := &g.coverage
	defer func() { g.coverage = fmiCoverage{} }()
	nextPosition, stop := iter.Pull(strings.FieldsSeq(c.positions))
	defer stop()
	row, column := 0, 0
	var at time.Time
	place, ok := "", true
	for text := range strings.FieldsSeq(c.values) {
		if column == 0 {
			row++
			lat, okLat := nextPosition()
			lon, okLon := nextPosition()
			epoch, okEpoch := nextPosition()
			if !okLat || !okLon || !okEpoch || len(c.fields) == 0 {
				return c.uneven()
			}
			seconds, err := strconv.ParseInt(epoch, 10, 64)
			at, ok = fromEpoch(seconds)
			place = lat + "," + lon
			if ok = ok && err == nil; !ok {
				g.values.rejects.add(row, epoch, "is no time in seconds since 1970")
			}
		}
		if ok {
			g.value(fmiValue{line: row, at: at, parameter: c.fields[column], text: text, place: place})
		}
		if column++; column == len(c.fields) {
			column = 0
		}
	}
	if _, more := nextPosition(); more || column != 0 {
		return c.uneven()
	}
	return nil
}

func (c *fmiCoverage) uneven() error {
	count := func(text string) (n int) {
		for range strings.FieldsSeq(text) {
			n++
		}
		return n
	}
	return refuse("fetch it again, or tell the source", "the coverage's parts don't fit: %d numbers of positions (three each), %d values, %d fields", count(c.positions), count(c.values), len(c.fields))
}

// midnightUTC gives the date of a stamp at 00 UTC.
func midnightUTC(t time.Time) (civil.Date, bool) {
	t = t.UTC()
	return civil.At(t), t.Hour() == 0 && t.Minute() == 0 && t.Second() == 0 && t.Nanosecond() == 0
}
