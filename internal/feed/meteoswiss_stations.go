package feed

import (
	"fmt"
	"math"
	"strings"

	"budcall/internal/civil"
)

// meteoSwissStations is MeteoSwiss' list of the stations of a network
// (ogd-smn_meta_stations.csv; ogd-nbcn likewise): semicolons, Windows-1252,
// names in the first line (layout: MeteoSwiss' own files). data_since is the
// station's, not that of its temperatures; stations that go on are in it.
var meteoSwissStations = Format{
	Name:  "meteoswiss-stations",
	Brief: "MeteoSwiss list of a network's stations (ogd-smn_meta_stations.csv)",
	Needs: []string{"nothing"},
	List:  true,
	parse: parseMeteoSwissStations,
}

func parseMeteoSwissStations(in *input, _ Options) (Batch, error) {
	const id, lat, lon = "station_abbr", "station_coordinates_wgs84_lat", "station_coordinates_wgs84_lon"
	c, err := openColumns(in, ';', id, lat, lon)
	if err != nil {
		return Batch{}, err
	}
	c.minds("station_name", "station_canton", "station_height_masl", "station_data_since")
	list := stationList{credit: meteoSwissCredit}
	for c.next(&list.rejects, c.least(id, lat, lon)) {
		e := StationEntry{ID: c.field(id), Name: c.field("station_name"), Region: c.field("station_canton"), Place: nowhere()}
		var okLat, okLon, okHeight, okSince bool
		e.Place.LatitudeDeg, okLat = c.number(lat)
		e.Place.LongitudeDeg, okLon = c.number(lon)
		e.Place.AltitudeM, okHeight = c.number("station_height_masl")
		e.First, okSince = dayOfDots(c.field("station_data_since"))
		reason := ""
		switch {
		case e.ID == "":
			reason = "the station has no abbreviation"
		case !okLat || !okLon || math.IsNaN(e.Place.LatitudeDeg) || math.IsNaN(e.Place.LongitudeDeg):
			reason = "the station has no place"
		case !okHeight:
			reason = fmt.Sprintf("%q is no height", shorten(c.field("station_height_masl")))
		case !okSince:
			reason = fmt.Sprintf("%q is no day dd.mm.yyyy", shorten(c.field("station_data_since")))
		}
		list.add(c.lines.number, c.lines.text, e, reason)
	}
	return list.batch(c.lines)
}

// dayOfDots reads dd.mm.yyyy, with or without HH:MM behind it; no date where
// there is nothing.
func dayOfDots(text string) (civil.Date, bool) {
	if text == "" {
		return 0, true
	}
	day, _, _ := strings.Cut(text, " ")
	return parseDate("02.01.2006", day)
}

// meteoSwissInventory is MeteoSwiss' inventory of a network
// (ogd-smn_meta_datainventory.csv): one line a parameter of a station and time
// in which it was measured; without an end it goes on. Its columns had capital
// names (STATION_NAT_ABBR_TX …) and have small ones.
var meteoSwissInventory = Format{
	Name:  "meteoswiss-inventory",
	Brief: "MeteoSwiss inventory of parameters and years (ogd-smn_meta_datainventory.csv)",
	Needs: []string{"nothing; it is read beside meteoswiss-stations, which has names and places"},
	List:  true,
	parse: parseMeteoSwissInventory,
}

// meteoSwissInventoryNames are the columns station, parameter, first and last
// time, as they were and are named.
var meteoSwissInventoryNames = [2][4]string{
	{"STATION_NAT_ABBR_TX", "PARAM_SHORT_NAME_TX", "SINCE_DT", "TILL_DT"},
	{"station_abbr", "parameter_shortname", "data_since", "data_till"},
}

// meteoSwissDays are the parameters of days' temperatures.
var meteoSwissDays = map[string]int{
	"tre200dn": elementMin, "tre200dx": elementMax, "tre200d0": elementMean,
	"ths200dn": elementMin, "ths200dx": elementMax, "ths200d0": elementMean,
}

func parseMeteoSwissInventory(in *input, _ Options) (Batch, error) {
	c, names, err := openEither(in, meteoSwissInventoryNames)
	if err != nil {
		return Batch{}, err
	}
	c.minds(names[3])
	var found inventory
	var rejects rejectList
	for c.next(&rejects, c.least(names[0], names[1], names[2])) {
		id, parameter := c.field(names[0]), strings.ToLower(c.field(names[1]))
		first, ok1 := dayOfDots(c.field(names[2]))
		last, ok2 := dayOfDots(c.field(names[3]))
		switch {
		case id == "" || parameter == "":
			rejects.add(c.lines.number, c.lines.text, "the line names no station and parameter")
		case !ok1 || !ok2 || first.IsZero() || !last.IsZero() && last < first:
			rejects.add(c.lines.number, c.lines.text, fmt.Sprintf("%q to %q is no time", shorten(c.field(names[2])), shorten(c.field(names[3]))))
		default:
			s := found.at(id, nowhere())
			if element, is := meteoSwissDays[parameter]; is {
				s.add(element, civil.Range{First: first, Last: last})
			}
		}
	}
	if c.lines.err != nil {
		return Batch{}, c.lines.err
	}
	return found.batch(&rejects, meteoSwissCredit, "use ogd-smn_meta_datainventory.csv")
}

// openEither looks for a header with the one names or the other, in the first line.
func openEither(in *input, names [2][4]string) (*columns, [4]string, error) {
	start, _ := in.Peek(200)
	which := names[1]
	if strings.Contains(string(start), names[0][0]) {
		which = names[0]
	}
	c, err := openColumns(in, ';', which[:]...)
	return c, which, err
}
