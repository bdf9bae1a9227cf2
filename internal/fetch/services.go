package fetch

import (
	"math"
	"strconv"
	"time"

	"budcall/internal/civil"
)

// fmi is the Finnish Meteorological Institute's WFS: no key, at most 372 days
// of days or 168 hours of hours a request, 20 000 requests a day and 600 in
// five minutes (an older page of the service). Its days have no wind, its hours
// have the highest mean speed.
var fmi = provider{
	base: "https://opendata.fmi.fi/wfs", needsID: true, mostDays: 372, hourly: 7,
	rules: Rules{Interval: 500 * time.Millisecond, Allowances: []Allowance{{600, 5 * time.Minute}, {20_000, 24 * time.Hour}}},
	span: func(s Series, base string, days civil.Range) ([]Query, error) {
		query, names := "fmi::observations::weather::daily::simple", "tday,tmin,tmax"
		if s.Hourly {
			query, names = "fmi::observations::weather::hourly::simple", "TA_PT1H_AVG,TA_PT1H_MIN,TA_PT1H_MAX,WS_PT1H_MAX"
		}
		address := with(base, "service", "WFS", "version", "2.0.0", "request", "getFeature", "storedquery_id", query, "fmisid", s.ID, "parameters", names,
			"starttime", days.First.String()+"T00:00:00Z", "endtime", lastMoment(s, days.Last))
		return []Query{{URL: address, Days: days, Moving: true}}, nil
	},
}

// lastMoment gives the end of a request: the stamp of its last day, or that
// day's last hour.
func lastMoment(s Series, last civil.Date) string {
	if s.Hourly {
		return last.String() + "T23:00:00Z"
	}
	return last.String() + "T00:00:00Z"
}

// frost is MET Norway's Frost: the client id is the user of HTTP Basic. The
// days of one request are our choice, far below the 100 000 observations of a
// page. Its rate isn't published; ours is one request a second. A station that
// lacks an element, such as wind, answers with the others.
var frost = provider{
	base: "https://frost.met.no", needsID: true, mostDays: 366, hourly: 31,
	rules: Rules{Interval: time.Second, Key: KeyAsUser},
	span: func(s Series, base string, days civil.Range) ([]Query, error) {
		elements := "mean(air_temperature P1D),min(air_temperature P1D),max(air_temperature P1D),mean(wind_speed P1D),max(wind_speed P1D),max(wind_speed_of_gust P1D)"
		more := []string{}
		if s.Hourly {
			elements, more = "air_temperature,wind_speed,max(wind_speed_of_gust PT1H)", []string{"timeresolutions", "PT1H"}
		}
		pairs := append([]string{
			"sources", s.ID, "referencetime", days.First.String() + "/" + (days.Last + 1).String(), // the end is exclusive
			"elements", elements, "timeoffsets", "default", "levels", "default",
		}, more...)
		return []Query{{URL: with(base+"/observations/v0.jsonld", pairs...), Days: days, Moving: true}}, nil
	},
}

// openMeteo is Open-Meteo's archive by place. 600 requests a minute, 5 000 an
// hour and 10 000 a day are granted without a key; every two weeks and every
// ten variables count as one. The free service is for non-commercial use.
var openMeteo = provider{
	base: "https://archive-api.open-meteo.com/v1/archive", baseKey: "https://customer-archive-api.open-meteo.com/v1/archive", mostDays: 366,
	rules: Rules{
		Interval: 100 * time.Millisecond, Key: KeyInURL,
		Allowances: []Allowance{{600, time.Minute}, {5_000, time.Hour}, {10_000, 24 * time.Hour}},
	},
	span: func(s Series, base string, days civil.Range) ([]Query, error) {
		lat, lon, err := s.place()
		if err != nil {
			return nil, err
		}
		what := []string{"daily", "temperature_2m_mean,temperature_2m_max,temperature_2m_min,wind_speed_10m_max,wind_gusts_10m_max"}
		if s.Hourly {
			what = []string{"hourly", "temperature_2m,wind_speed_10m,wind_gusts_10m"}
		}
		zone := s.Zone
		if zone == "" {
			zone = "UTC"
		}
		pairs := append([]string{"latitude", lat, "longitude", lon}, what...)
		pairs = append(pairs, "start_date", days.First.String(), "end_date", days.Last.String(), "timezone", zone, "timeformat", "iso8601", "temperature_unit", "celsius", "wind_speed_unit", "ms")
		if !math.IsNaN(s.AltitudeM) {
			pairs = append(pairs, "elevation", strconv.FormatFloat(math.Round(s.AltitudeM), 'f', 0, 64))
		}
		weight := max(1, float64(days.Len())/14)
		return []Query{{URL: with(base, pairs...), Days: days, Moving: true, Rules: Rules{Weight: weight}}}, nil
	},
}

// eccc is Environment and Climate Change Canada's bulk download: one calendar
// year a request. Its rate isn't published; ours is one request in two seconds.
var eccc = provider{
	base: "https://climate.weather.gc.ca/climate_data/bulk_data_e.html", needsID: true, mostDays: 366,
	rules: Rules{Interval: 2 * time.Second},
	span: func(s Series, base string, days civil.Range) ([]Query, error) {
		var all []Query
		for year := days.First.Year(); year <= days.Last.Year(); year++ {
			held := civil.Range{First: civil.Of(year, 1, 1), Last: civil.Of(year, 12, 31)}
			address := with(base, "format", "csv", "stationID", s.ID, "Year", strconv.Itoa(year), "Month", "1", "Day", "1", "time", "", "timeframe", "2", "submit", "Download Data")
			all = append(all, Query{URL: address, Days: held, Moving: true})
		}
		return all, nil
	},
}
