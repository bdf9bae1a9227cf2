package feed

import (
	"fmt"
	"math"
	"strings"
)

// ghcnStations is GHCN-Daily's ghcnd-stations.txt: fixed columns (its readme,
// version 3.22): id 1–11, latitude 13–20, longitude 22–30, metres 32–37 (-999.9
// is missing), state 39–40, name 42–71. The list says nothing of years.
var ghcnStations = Format{
	Name:  "ghcn-stations",
	Brief: "NOAA GHCN-Daily station list (ghcnd-stations.txt)",
	Needs: []string{"nothing"},
	List:  true,
	parse: parseGHCNStations,
}

func parseGHCNStations(in *input, _ Options) (Batch, error) {
	l := linesOf(in)
	b := stationList{credit: ghcnCredit}
	for l.next() {
		if strings.TrimSpace(l.text) != "" {
			e, reason := ghcnStation(l.text)
			if !l.ended && e.Name == "" { // what stands before it may be cut off
				reason = insideLine
			}
			b.add(l.number, l.text, e, reason)
		}
	}
	return b.batch(l)
}

func ghcnStation(text string) (e StationEntry, reason string) {
	at := func(from, to int) string { return strings.TrimSpace(clipSpan(text, span{from - 1, to})) }
	e.ID = at(1, 11)
	if len(e.ID) != 11 || strings.Contains(e.ID, " ") {
		return e, fmt.Sprintf("%q is no id of 11 characters", shorten(e.ID))
	}
	var ok [3]bool
	e.Place.LatitudeDeg, ok[0] = parseNumber(at(13, 20), '.')
	e.Place.LongitudeDeg, ok[1] = parseNumber(at(22, 30), '.')
	e.Place.AltitudeM, ok[2] = parseNumber(at(32, 37), '.')
	for i, what := range []string{"latitude", "longitude", "height"} {
		if !ok[i] {
			return e, "columns 13–37 hold no " + what
		}
	}
	if e.Place.AltitudeM <= -999 {
		e.Place.AltitudeM = math.NaN()
	}
	e.Region, e.Name = at(39, 40), at(42, 71)
	return e, ""
}
