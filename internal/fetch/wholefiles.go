package fetch

import (
	"regexp"
	"strings"
	"time"

	"budcall/internal/civil"
)

// Providers of whole files: a request names a file, not days. Their rates
// aren't published; ours is one request a second.
const fileInterval = time.Second

// wholeFile is a provider with one file a station that holds everything.
func wholeFile(base string, address func(base, id string) string) provider {
	return provider{
		base: base, needsID: true, rules: Rules{Interval: fileInterval},
		span: func(s Series, base string, days civil.Range) ([]Query, error) {
			return []Query{{URL: address(base, s.ID), Days: civil.Range{Last: days.Last}}}, nil
		},
	}
}

// twoFiles is a provider with a file of the recent past and one of what came
// before it; they overlap.
func twoFiles(base string, recentDays int, recent, past func(s Series, base string) Query) provider {
	return provider{
		base: base, needsID: true, rules: Rules{Interval: fileInterval},
		span: func(s Series, base string, days civil.Range) ([]Query, error) {
			since := days.Last - civil.Date(recentDays)
			var all []Query
			if days.First < since {
				q := past(s, base)
				q.Days = civil.Range{Last: since}
				all = append(all, q)
			}
			q := recent(s, base)
			q.Days = civil.Range{First: since, Last: days.Last}
			return append(all, q), nil
		},
	}
}

// smhi is SMHI's meteorological observations: the mean of days (parameter 2)
// with minimum and maximum (19, 20) in files of their own, or the temperature of hours (1), of which a full archive can be had that
// lacks the last three or four months, and the latest months apart.
var smhi = twoFiles("https://opendata-download-metobs.smhi.se/api/version/1.0", 90,
	func(s Series, base string) Query { return smhiQuery(s, base, "latest-months") },
	func(s Series, base string) Query { return smhiQuery(s, base, "corrected-archive") })

func smhiQuery(s Series, base, period string) Query {
	if s.Hourly {
		return Query{URL: smhiAddress(s, base, "1", period)}
	}
	return Query{
		URL:    smhiAddress(s, base, "2", period),
		Beside: []string{smhiAddress(s, base, "19", period), smhiAddress(s, base, "20", period)},
	}
}

func smhiAddress(s Series, base, parameter, period string) string {
	return base + "/parameter/" + parameter + "/station/" + s.ID + "/period/" + period + "/data.csv"
}

// dwd is Deutscher Wetterdienst's daily climate: about 500 days to yesterday,
// and the years before in a file whose name holds its dates, which only the
// folder's page tells.
var dwd = twoFiles("https://opendata.dwd.de/climate_environment/CDC/observations_germany/climate/daily/kl", 400,
	func(s Series, base string) Query {
		return Query{URL: base + "/recent/tageswerte_KL_" + dwdNumber(s.ID) + "_akt.zip"}
	},
	func(s Series, base string) Query {
		return Query{URL: base + "/historical/", Link: regexp.MustCompile(`tageswerte_KL_` + dwdNumber(s.ID) + `_[0-9]{8}_[0-9]{8}_hist\.zip`)}
	})

// dwdNumber gives a station's number as file names have it: five digits.
func dwdNumber(id string) string { return strings.Repeat("0", max(0, 5-len(id))) + id }

// meteoSwiss is MeteoSwiss' open data: recent is from 1 January to yesterday,
// historical what came before.
var meteoSwiss = twoFiles("https://data.geo.admin.ch/ch.meteoschweiz.ogd-smn", 0,
	func(s Series, base string) Query { return Query{URL: swissAddress(s, base, "recent")} },
	func(s Series, base string) Query { return Query{URL: swissAddress(s, base, "historical")} })

func swissAddress(s Series, base, part string) string {
	step := "d"
	if s.Hourly {
		step = "h"
	}
	id := strings.ToLower(s.ID)
	return base + "/" + id + "/ogd-smn_" + id + "_" + step + "_" + part + ".csv"
}

// The others have one file a station.
var (
	knmi = wholeFile("https://cdn.knmi.nl/knmi/map/page/klimatologie/gegevens/daggegevens", func(base, id string) string {
		return base + "/etmgeg_" + id + ".zip"
	})
	ghcnDaily = wholeFile("https://www.ncei.noaa.gov/pub/data/ghcn/daily/all", func(base, id string) string {
		return base + "/" + id + ".dly"
	})
	ghcnCSV = wholeFile("https://www.ncei.noaa.gov/pub/data/ghcn/daily/by_station", func(base, id string) string {
		return base + "/" + id + ".csv.gz"
	})
	ghcnAccess = wholeFile("https://www.ncei.noaa.gov/data/global-historical-climatology-network-daily/access", func(base, id string) string {
		return base + "/" + id + ".csv"
	})
)
