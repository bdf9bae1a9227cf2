package fetch

import (
	"fmt"
	"strings"
)

// SMHIForecastURL asks base, such as
// https://opendata-download-metfcst.smhi.se, for the forecast snow1g version 1
// at a place.
func SMHIForecastURL(base string, latitudeDeg, longitudeDeg float64) (string, error) {
	lat, lon, err := Series{LatitudeDeg: latitudeDeg, LongitudeDeg: longitudeDeg}.place()
	if err != nil {
		return "", err
	}
	return strings.TrimRight(base, "/") + "/api/category/snow1g/version/1/geotype/point/lon/" + lon + "/lat/" + lat + "/data.json", nil
}

// MOSMIXURL asks base, such as
// https://opendata.dwd.de/weather/local_forecasts/mos/MOSMIX_L, for the latest
// forecast made for a station.
func MOSMIXURL(base, station string) (string, error) {
	if !plainID.MatchString(station) {
		return "", fmt.Errorf("%q is no station of MOSMIX: write its id as the provider does, such as 10637", station)
	}
	return strings.TrimRight(base, "/") + "/single_stations/" + station + "/kml/MOSMIX_L_LATEST_" + station + ".kmz", nil
}
