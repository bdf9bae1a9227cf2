package weather

// LapseKPerKm is the fall of temperature with height, 6.5 K per km, of the
// ICAO standard atmosphere (sea level to 11 km).
const LapseKPerKm = 6.5

// Adjust carries a day's temperatures from the altitude of a station to that
// of a site, in metres above sea level, by LapseKPerKm: 300 m up is 1.95 K
// colder. The mark stays. An altitude that is not known (NaN) leaves no value
// that could be trusted, so the day comes out missing.
func Adjust(d Day, fromAltitudeM, toAltitudeM float64) Day {
	shiftK := (fromAltitudeM - toAltitudeM) / 1000 * LapseKPerKm
	d.MinC += shiftK
	d.MaxC += shiftK
	d.MeanC += shiftK
	return d
}
