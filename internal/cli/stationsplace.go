package cli

import (
	"math"
	"strconv"
	"strings"

	"budcall/internal/weather"
)

// parseNear reads LAT,LON.
func parseNear(text string) (p weather.Place, err error) {
	const write = "write degrees north and east with decimal points, south and west negative: 61.2345,24.5678"
	parts := strings.Split(text, ",")
	switch {
	case len(parts) == 4:
		return p, misused("--near %q has %d commas: %s", text, len(parts)-1, write)
	case len(parts) != 2:
		return p, misused("--near %q is no latitude and longitude: %s", text, write)
	}
	lat, latErr := strconv.ParseFloat(strings.TrimSpace(parts[0]), 64)
	lon, lonErr := strconv.ParseFloat(strings.TrimSpace(parts[1]), 64)
	if latErr != nil || lonErr != nil || math.IsNaN(lat) || math.IsNaN(lon) {
		return p, misused("--near %q is no latitude and longitude: %s", text, write)
	}
	switch inLat, inLon := math.Abs(lat) <= 90, math.Abs(lon) <= 180; {
	case !inLat && inLon && math.Abs(lon) <= 90 && math.Abs(lat) <= 180:
		return p, misused("--near %q: %g is no latitude; they seem to be exchanged: write the latitude first, %s,%s", text, lat, strings.TrimSpace(parts[1]), strings.TrimSpace(parts[0]))
	case !inLat:
		return p, misused("--near %q: the latitude is %g, outside -90 to 90: %s", text, lat, write)
	case !inLon:
		return p, misused("--near %q: the longitude is %g, outside -180 to 180: %s", text, lon, write)
	}
	return weather.Place{LatDeg: lat, LonDeg: lon, AltitudeM: math.NaN()}, nil
}

// The lowest and highest land there may be a site on, as in the settings.
const lowestM, highestM = -430, 5000

// parseAltitude reads metres; nothing is NaN.
func parseAltitude(text string) (float64, error) {
	if text == "" {
		return math.NaN(), nil
	}
	m, err := strconv.ParseFloat(text, 64)
	switch {
	case err != nil:
		return m, misused("--altitude is %q: write metres above sea level as a number alone, such as 140 (a foot is 0.3048 m)", text)
	case !(m >= lowestM && m <= highestM):
		return m, misused("--altitude is %g: write metres above sea level, %d to %d", m, lowestM, highestM)
	}
	return m, nil
}
