package feed

import (
	"fmt"
	"math"
	"strings"
	"time"

	"budcall/internal/civil"
)

// ghcnInventory is GHCN-Daily's ghcnd-inventory.txt: fixed columns (its
// readme, version 3.22): id 1–11, latitude 13–20, longitude 22–30, element
// 32–35, first year 37–40, last year 42–45; one line an element of a station.
// It has neither names nor altitudes. A year that goes on is its last.
var ghcnInventory = Format{
	Name:  "ghcn-inventory",
	Brief: "NOAA GHCN-Daily inventory of elements and years (ghcnd-inventory.txt)",
	Needs: []string{"nothing; it is read beside ghcn-stations, which has names and altitudes"},
	List:  true,
	parse: parseGHCNInventory,
}

func parseGHCNInventory(in *input, _ Options) (Batch, error) {
	l := linesOf(in)
	var found inventory
	var rejects rejectList
	for l.next() {
		text := strings.TrimRight(l.text, " ")
		if text == "" {
			continue
		}
		reason := found.ghcnLine(text)
		if !l.ended && len(text) < ghcnInventoryLine {
			reason = insideLine
		}
		if reason != "" {
			rejects.add(l.number, text, reason)
		}
	}
	if l.err != nil {
		return Batch{}, l.err
	}
	return found.batch(&rejects, ghcnCredit, "use ghcnd-inventory.txt")
}

// ghcnInventoryLine is how many characters a line has.
const ghcnInventoryLine = 45

// ghcnLine takes a line, or says why not.
func (v *inventory) ghcnLine(text string) (reason string) {
	if len(text) != ghcnInventoryLine {
		return fmt.Sprintf("the line has %d characters, not %d", len(text), ghcnInventoryLine)
	}
	id, element := text[:11], text[31:35]
	if strings.Contains(id, " ") || text[11] != ' ' || strings.Contains(element, " ") {
		return "columns 1–11 and 32–35 hold no id and element"
	}
	first, ok1 := wholeDigits(text[36:40])
	last, ok2 := wholeDigits(text[41:45])
	if !ok1 || !ok2 || first < 1 || last < first {
		return "columns 37–45 hold no first and last year"
	}
	latitude, okLat := parseNumber(strings.TrimSpace(text[12:20]), '.')
	longitude, okLon := parseNumber(strings.TrimSpace(text[21:30]), '.')
	if !okLat || !okLon || math.Abs(latitude) > 90 || math.Abs(longitude) > 180 {
		return "columns 13–30 hold no latitude and longitude"
	}
	s := v.at(strings.Clone(id), Place{LatitudeDeg: latitude, LongitudeDeg: longitude, AltitudeM: math.NaN()})
	over := civil.Range{First: civil.Of(first, time.January, 1), Last: civil.Of(last, time.December, 31)}
	switch element {
	case "TMIN":
		s.add(elementMin, over)
	case "TMAX":
		s.add(elementMax, over)
	case "TAVG":
		s.add(elementMean, over)
	}
	return ""
}
