package feed

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"

	"budcall/internal/civil"
)

// frostStations is the list of sources of MET Norway's Frost API v0 (layout: a
// recorded answer). validFrom and validTo are the station's, not those of its
// temperatures.
var frostStations = Format{
	Name:  "frost-stations",
	Brief: "MET Norway Frost v0 list of sources JSON",
	Needs: []string{"nothing"},
	List:  true,
	parse: whole(parseFrostStations),
}

type frostSource struct {
	ID       string `json:"id"`
	Name     string `json:"name"`
	County   string `json:"county"`
	Geometry *struct {
		Coordinates []float64 `json:"coordinates"` // longitude, latitude
	} `json:"geometry"`
	HeightM   *float64 `json:"masl"`
	ValidFrom string   `json:"validFrom"`
	ValidTo   string   `json:"validTo"`
}

func parseFrostStations(body []byte, _ Options) (Batch, error) {
	e, err := openFrost(body, "SourceResponse")
	if err != nil {
		return Batch{}, err
	}
	list := stationList{credit: frostCredit}
	items := 0
	err = eachJSON(e.Data, "Frost", "data", func(number int, s *frostSource) error {
		items = number
		entry := StationEntry{ID: s.ID, Name: s.Name, Region: s.County, Place: nowhere()}
		entry.Place.AltitudeM = said(s.HeightM)
		reason := ""
		var okFrom, okTo bool
		entry.First, okFrom = dateOfStamp(s.ValidFrom)
		entry.Last, okTo = dateOfStamp(s.ValidTo)
		switch {
		case s.ID == "":
			reason = "the source has no id"
		case s.Geometry == nil || len(s.Geometry.Coordinates) < 2:
			reason = "the source has no place"
		case !okFrom || !okTo:
			reason = "validFrom or validTo is no time"
		default:
			entry.Place.LongitudeDeg, entry.Place.LatitudeDeg = s.Geometry.Coordinates[0], s.Geometry.Coordinates[1]
		}
		list.add(number, s.ID+" "+s.Name, entry, reason)
		return nil
	})
	if err != nil {
		return Batch{}, err
	}
	return list.settle(strconv.Itoa(e.TotalCount), items)
}

// dateOfStamp gives the date of a moment; no date where there is none.
func dateOfStamp(text string) (civil.Date, bool) {
	if text == "" {
		return 0, true
	}
	t, ok := timestamp(text)
	if !ok {
		return 0, false
	}
	return civil.At(t.UTC()), true
}

// shortList notes that a list is shorter than its answer says.
func shortList(announced string, items int) []string {
	if n, err := strconv.Atoi(announced); err == nil && n > items {
		return []string{fmt.Sprintf("the answer announces %d stations and holds %d", n, items)}
	}
	return nil
}

// smhiStations is the list of stations of one parameter of SMHI's
// meteorological observations, API version 1.0 (layout: SMHI's catalogue
// answers; the entries of the list from memory).
var smhiStations = Format{
	Name:  "smhi-stations",
	Brief: "SMHI list of a parameter's stations, JSON (…/parameter/2.json)",
	Needs: []string{"nothing"},
	List:  true,
	parse: whole(parseSMHIStations),
}

type smhiStation struct {
	Key       string   `json:"key"`
	ID        *int64   `json:"id"`
	Name      string   `json:"name"`
	HeightM   *float64 `json:"height"`
	Latitude  *float64 `json:"latitude"`
	Longitude *float64 `json:"longitude"`
	From, To  *int64   // milliseconds since 1970
}

func parseSMHIStations(body []byte, _ Options) (Batch, error) {
	var a struct {
		Title   string          `json:"title"`
		Station json.RawMessage `json:"station"`
	}
	if err := decodeJSON(body, "SMHI", &a); err != nil {
		return Batch{}, err
	}
	if len(a.Station) == 0 || a.Station[0] != '[' {
		return Batch{}, refuse("use the address of one parameter, such as …/api/version/1.0/parameter/2.json", "this JSON (%s) holds no list of stations", shorten(a.Title))
	}
	if !strings.Contains(strings.ToLower(a.Title), "lufttemperatur") {
		return Batch{}, refuse("use parameter 1, 2, 19 or 20", "this is the list of stations of %q, no air temperature", shorten(a.Title))
	}
	list := stationList{credit: smhiCredit}
	err := eachJSON(a.Station, "SMHI", "station", func(number int, s *smhiStation) error {
		entry := StationEntry{ID: s.Key, Name: s.Name, Place: Place{LatitudeDeg: said(s.Latitude), LongitudeDeg: said(s.Longitude), AltitudeM: said(s.HeightM)}}
		if entry.ID == "" && s.ID != nil {
			entry.ID = strconv.FormatInt(*s.ID, 10)
		}
		if from, ok := fromMillis(s.From); ok {
			entry.First = civil.At(from)
		}
		if to, ok := fromMillis(s.To); ok {
			entry.Last = civil.At(to)
		}
		reason := ""
		switch {
		case entry.ID == "":
			reason = "the station has no key"
		case math.IsNaN(entry.Place.LatitudeDeg) || math.IsNaN(entry.Place.LongitudeDeg):
			reason = "the station has no place"
		}
		list.add(number, entry.ID+" "+s.Name, entry, reason)
		return nil
	})
	if err != nil {
		return Batch{}, err
	}
	return list.settle("", 0)
}
