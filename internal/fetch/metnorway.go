package fetch

import (
	"fmt"
	"math"
	"net/url"
	"strconv"
	"strings"
)

// MetNorwayComplete is the address of Locationforecast 2.0 with the extremes
// of six hours.
const MetNorwayComplete = "https://api.met.no/weatherapi/locationforecast/2.0/complete"

// MetNorwayURL asks base for a place: degrees cut to the four decimals that
// the service allows, and the altitude in whole metres, by which it corrects
// the temperature. Without a known altitude (NaN) the service takes its own.
func MetNorwayURL(base string, latitudeDeg, longitudeDeg, altitudeM float64) (string, error) {
	u, err := url.Parse(base)
	if err != nil || u.Host == "" {
		return "", fmt.Errorf("the forecast's address %s can't be used: correct url", Redact(base))
	}
	if !(math.Abs(latitudeDeg) <= 90) || !(math.Abs(longitudeDeg) <= 180) {
		return "", fmt.Errorf("latitude %v and longitude %v are no place: correct the site's coordinates (degrees, north and east positive)", latitudeDeg, longitudeDeg)
	}
	q := u.Query()
	q.Set("lat", fourDecimals(latitudeDeg))
	q.Set("lon", fourDecimals(longitudeDeg))
	if !math.IsNaN(altitudeM) {
		q.Set("altitude", strconv.FormatFloat(math.Round(altitudeM), 'f', 0, 64))
	}
	u.RawQuery = q.Encode()
	return u.String(), nil
}

// fourDecimals cuts, as the service asks, and doesn't round.
func fourDecimals(deg float64) string {
	text := strconv.FormatFloat(deg, 'f', -1, 64)
	if whole, decimals, ok := strings.Cut(text, "."); ok {
		text = strings.TrimRight(whole+"."+decimals[:min(len(decimals), 4)], "0")
	}
	if text = strings.TrimSuffix(text, "."); text == "-0" {
		return "0"
	}
	return text
}
