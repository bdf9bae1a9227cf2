package cli

import (
	"budcall/internal/civil"
	"budcall/internal/weather"
)

// stationsAnswer is what stations found, as programs read it; null is not
// known.
type stationsAnswer struct {
	LatitudeDeg  float64       `json:"latitude_deg"`
	LongitudeDeg float64       `json:"longitude_deg"`
	AltitudeM    *float64      `json:"altitude_m"`
	Today        civil.Date    `json:"today"`
	Listed       int           `json:"listed"`
	Lists        []listJSON    `json:"lists"`
	Stations     []stationJSON `json:"stations"`
}

type listJSON struct {
	Format   string `json:"format"`
	File     string `json:"file"`
	Stations int    `json:"stations"`
	Credit   string `json:"credit"`
}

type stationJSON struct {
	Rank         int            `json:"rank"`
	Name         string         `json:"name"`
	Region       string         `json:"region"`
	Provider     string         `json:"provider"`
	Format       string         `json:"format"`
	ID           string         `json:"id"`
	LatitudeDeg  *float64       `json:"latitude_deg"`
	LongitudeDeg *float64       `json:"longitude_deg"`
	AltitudeM    *float64       `json:"altitude_m"`
	DistanceKm   *float64       `json:"distance_km"`
	HigherM      *float64       `json:"higher_m"`
	First        *civil.Date    `json:"first"`
	Last         *civil.Date    `json:"last"` // null also where the station goes on
	Ended        bool           `json:"ended"`
	Years        *float64       `json:"years"`
	ShareDays    *float64       `json:"share_of_days"`
	CountedIn    string         `json:"counted_in,omitempty"`
	Thermometer  bool           `json:"thermometer_known"`
	ErrSDK       *float64       `json:"error_sd_k"`
	CountedSDK   *float64       `json:"error_with_doubts_sd_k"`
	Advice       weather.Advice `json:"advice"`
	SameAsRank   int            `json:"same_as_rank,omitempty"`
	Why          string         `json:"why"`
}

func (n nearby) json() stationsAnswer {
	a := stationsAnswer{
		LatitudeDeg: n.site.LatDeg, LongitudeDeg: n.site.LonDeg, AltitudeM: orNull(n.site.AltitudeM), Today: n.today,
		Listed: n.all, Lists: []listJSON{}, Stations: []stationJSON{},
	}
	for _, f := range n.files {
		a.Lists = append(a.Lists, listJSON{f.format, f.file, f.stations, f.credit})
	}
	for i, r := range n.ranked {
		a.Stations = append(a.Stations, r.json(i+1))
	}
	return a
}

func (r rankedStation) json(rank int) stationJSON {
	out := stationJSON{
		Rank: rank, Name: r.Name, Region: r.Region, Provider: r.list.provider, Format: r.list.station, ID: r.ID,
		LatitudeDeg: orNull(r.Place.LatitudeDeg), LongitudeDeg: orNull(r.Place.LongitudeDeg), AltitudeM: orNull(r.AltitudeM),
		DistanceKm: orNull(r.DistanceKm), HigherM: orNull(r.HigherM), First: dayOrNull(r.First), Last: dayOrNull(r.Last), Ended: r.ended,
		Years: orNull(r.years), ShareDays: orNull(r.share), CountedIn: r.daysFrom, Thermometer: r.thermometer,
		ErrSDK: orNull(r.ErrSDC), CountedSDK: orNull(r.CountedSDC), Advice: r.Advice, Why: r.Why,
	}
	if r.Advice == weather.SamePlace {
		out.SameAsRank = r.SameAs + 1
	}
	return out
}
