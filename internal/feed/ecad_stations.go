package feed

import (
	"fmt"
	"math"
	"strings"
)

// ecadStations is ECA&D's stations.txt: prose, a header, and comma-separated
// rows of fixed width: number, name of 40 characters (with commas, if it has
// them), country, latitude and longitude as ±DD:MM:SS, metres (layout: the
// file's own words). -9999 is no height. It says nothing of years.
var ecadStations = Format{
	Name:  "ecad-stations",
	Brief: "ECA&D station list (stations.txt)",
	Needs: []string{"nothing"},
	List:  true,
	parse: parseECADStations,
}

// How many characters a name and the height, which ends a row, have.
const (
	ecadNameWidth   = 40
	ecadHeightWidth = 4
)

func parseECADStations(in *input, _ Options) (Batch, error) {
	c, err := openColumns(in, ',', "STAID", "LAT", "LON", "HGHT")
	if err != nil {
		return Batch{}, err
	}
	l := c.lines // rows aren't cut at every comma
	list := stationList{credit: ecadCredit}
	for l.next() {
		if strings.TrimSpace(l.text) != "" {
			e, reason := ecadStation(l.text)
			if !l.ended && len(l.text)-1-strings.LastIndexByte(l.text, ',') < ecadHeightWidth {
				reason = insideLine
			}
			list.add(l.number, l.text, e, reason)
		}
	}
	return list.batch(l)
}

func ecadStation(text string) (e StationEntry, reason string) {
	id, rest, _ := strings.Cut(text, ",")
	e.ID = strings.TrimSpace(id)
	if _, ok := wholeDigits(e.ID); !ok {
		return e, fmt.Sprintf("%q is no number of a station", shorten(e.ID))
	}
	name := []rune(rest)
	if len(name) < ecadNameWidth+1 || name[ecadNameWidth] != ',' {
		return e, fmt.Sprintf("the name hasn't %d characters and a comma", ecadNameWidth)
	}
	e.Name = strings.TrimSpace(string(name[:ecadNameWidth]))
	fields := strings.Split(string(name[ecadNameWidth+1:]), ",")
	if len(fields) < 4 {
		return e, "country, latitude, longitude and height don't follow the name"
	}
	for i := range fields {
		fields[i] = strings.TrimSpace(fields[i])
	}
	e.Region = fields[0]
	var ok [3]bool
	e.Place.LatitudeDeg, ok[0] = degrees(fields[1])
	e.Place.LongitudeDeg, ok[1] = degrees(fields[2])
	e.Place.AltitudeM, ok[2] = parseNumber(fields[3], '.')
	for i, what := range []string{"latitude", "longitude", "height"} {
		if !ok[i] {
			return e, fmt.Sprintf("%q is no %s", shorten(fields[i+1]), what)
		}
	}
	if e.Place.AltitudeM <= -999 {
		e.Place.AltitudeM = math.NaN()
	}
	return e, ""
}

// degrees reads ±DD:MM:SS.
func degrees(text string) (float64, bool) {
	sign := 1.0
	switch {
	case strings.HasPrefix(text, "-"):
		sign, text = -1, text[1:]
	case strings.HasPrefix(text, "+"):
		text = text[1:]
	}
	parts := strings.Split(text, ":")
	if len(parts) != 3 {
		return 0, false
	}
	deg, ok1 := wholeDigits(parts[0])
	minutes, ok2 := wholeDigits(parts[1])
	seconds, ok3 := wholeDigits(parts[2])
	if !ok1 || !ok2 || !ok3 || deg > 180 || minutes > 59 || seconds > 59 {
		return 0, false
	}
	return sign * (float64(deg) + float64(minutes)/60 + float64(seconds)/3600), true
}
