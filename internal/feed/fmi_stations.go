package feed

import (
	"strings"

	"budcall/internal/civil"
)

// fmiStations is FMI's list of stations, the stored query fmi::ef::stations
// (layout: a recorded answer). It says no height; a station whose period ends
// "now" has no last day. Stations of every network are in it, those without a
// thermometer too.
var fmiStations = Format{
	Name:  "fmi-stations",
	Brief: "Finnish Meteorological Institute list of stations (fmi::ef::stations)",
	Needs: []string{"nothing"},
	List:  true,
	parse: parseFMIStations,
}

// fmiStationEntry is one station while it is read.
type fmiStationEntry struct {
	StationEntry
	line   int
	naming string // codeSpace of the name that is being read
	pos    string
	reason string
}

func parseFMIStations(in *input, _ Options) (Batch, error) {
	x := openXML(in, "FMI", fmiSpaces)
	list := stationList{credit: fmiCredit}
	var s fmiStationEntry
	members, announced := 0, ""
	for e := x.next(); e != xmlOver; e = x.next() {
		switch {
		case e == xmlBegin && x.name == "ows:ExceptionReport":
			return Batch{}, fmiException(x)
		case e == xmlBegin && x.depth == 1 && x.name != "wfs:FeatureCollection":
			return Batch{}, refuse("ask for storedquery_id=fmi::ef::stations", "this XML is a %s, no list of FMI's stations", shorten(x.name))
		case e == xmlBegin && x.depth == 1:
			announced = x.attr("numberReturned")
		case e == xmlBegin && x.name == "ef:EnvironmentalMonitoringFacility":
			members++
			s = fmiStationEntry{StationEntry: StationEntry{Place: nowhere()}, line: x.line()}
		case e == xmlBegin:
			s.naming = x.attr("codeSpace")
		case x.name == "ef:EnvironmentalMonitoringFacility":
			s.finish(&list)
		default:
			s.take(x)
		}
	}
	if x.err != nil {
		return Batch{}, x.err
	}
	return list.settle(announced, members)
}

// settle gives the list, saying where it is shorter than announced.
func (s *stationList) settle(announced string, members int) (Batch, error) {
	b, err := s.batch(&lines{})
	if err == nil {
		b.Notes = shortList(announced, members)
	}
	return b, err
}

func (s *fmiStationEntry) take(x *xmlReader) {
	text := x.content()
	switch {
	case x.name == "gml:identifier" && strings.HasSuffix(s.naming, "/stationcode/fmisid"):
		s.ID = text
	case x.name == "gml:name" && strings.HasSuffix(s.naming, "/locationcode/name"):
		s.Name = text
	case x.name == "gml:name" && strings.HasSuffix(s.naming, "/location/region"):
		s.Region = text
	case x.name == "gml:pos":
		s.pos = text
	case x.name == "gml:beginPosition":
		s.First = s.date(text)
	case x.name == "gml:endPosition" && text != "":
		s.Last = s.date(text)
	}
}

func (s *fmiStationEntry) date(text string) civil.Date {
	t, ok := timestamp(text)
	if !ok {
		s.reason = "the period of activity begins or ends at no time"
		return 0
	}
	return civil.At(t.UTC())
}

func (s *fmiStationEntry) finish(list *stationList) {
	s.Place = fmiPlace{key: placeKey(s.pos)}.place()
	switch {
	case s.ID == "":
		s.reason = "the station has no fmisid"
	case s.Place.LatitudeDeg != s.Place.LatitudeDeg:
		s.reason = "the station has no place"
	}
	list.add(s.line, s.ID+" "+s.Name, s.StationEntry, s.reason)
}
