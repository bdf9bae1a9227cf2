package feed

import (
	"fmt"
	"strings"
)

// dwdStations is DWD's list of the stations with daily climate,
// KL_Tageswerte_Beschreibung_Stationen.txt: ISO-8859-1, a line of names and
// one of dashes (which doesn't give the true widths), then number, first and
// last day, metres, latitude, longitude, name, land, and in newer lists
// whether the data are free.
var dwdStations = Format{
	Name:  "dwd-stations",
	Brief: "Deutscher Wetterdienst station list (KL_Tageswerte_Beschreibung_Stationen.txt)",
	Needs: []string{"nothing"},
	List:  true,
	parse: parseDWDStations,
}

func parseDWDStations(in *input, _ Options) (Batch, error) {
	l := linesOf(in)
	b := stationList{credit: dwdCredit}
	header := false
	for l.next() {
		switch {
		case strings.TrimSpace(l.text) == "":
		case strings.HasPrefix(strings.ToLower(l.text), "stations_id"):
			header = true
		case strings.HasPrefix(l.text, "---"):
		case !header:
			return Batch{}, &Refusal{Line: l.number, What: fmt.Sprintf("this is no station list of DWD: it begins with %q", shorten(l.text)), Cure: "look whether this is the right format"}
		default:
			e, reason := dwdStation(l.text)
			if !l.ended && e.Region == "" { // what stands before it may be cut off
				reason = insideLine
			}
			b.add(l.number, l.text, e, reason)
		}
	}
	return b.batch(l)
}

// dwdNameWidth is how wide the column of the name is, in characters.
const dwdNameWidth = 41

func dwdStation(text string) (e StationEntry, reason string) {
	rest := text
	var fields [6]string
	for i := range fields {
		rest = strings.TrimLeft(rest, " ")
		fields[i], rest, _ = strings.Cut(rest, " ")
	}
	if _, ok := wholeDigits(fields[0]); !ok {
		return e, fmt.Sprintf("%q is no station number", shorten(fields[0]))
	}
	e.ID = fields[0]
	var ok [5]bool
	e.First, ok[0] = compactDate(fields[1])
	e.Last, ok[1] = compactDate(fields[2])
	e.Place.AltitudeM, ok[2] = parseNumber(fields[3], '.')
	e.Place.LatitudeDeg, ok[3] = parseNumber(fields[4], '.')
	e.Place.LongitudeDeg, ok[4] = parseNumber(fields[5], '.')
	for i, what := range []string{"first day", "last day", "height", "latitude", "longitude"} {
		if !ok[i] {
			return e, fmt.Sprintf("%q is no %s", shorten(fields[i+1]), what)
		}
	}
	name := []rune(rest)
	e.Name = strings.TrimSpace(string(name[:min(dwdNameWidth, len(name))]))
	e.Region, _, _ = strings.Cut(strings.TrimSpace(string(name[min(dwdNameWidth, len(name)):])), "  ")
	return e, ""
}
