package weather

import "math"

// Place is a point on the earth; AltitudeM is metres above sea level, NaN
// where it isn't known.
type Place struct{ LatDeg, LonDeg, AltitudeM float64 }

// EarthRadiusKm is the earth's mean radius.
const EarthRadiusKm = 6371.0

// DistanceKm is the length of the great circle between two places on a sphere
// of EarthRadiusKm, by the haversine formula, which keeps its digits where the
// places are near each other:
//
//	a = sin²(Δφ/2) + cos φ₁ cos φ₂ sin²(Δλ/2),  d = 2 R asin √a
//
// (Sinnott 1984, Sky and Telescope 68; from memory). The earth's flattening is
// left out: up to 0.6 %. Altitudes don't matter.
func (p Place) DistanceKm(q Place) float64 {
	const rad = math.Pi / 180
	dLat, dLon := math.Sin((q.LatDeg-p.LatDeg)*rad/2), math.Sin((q.LonDeg-p.LonDeg)*rad/2)
	a := dLat*dLat + math.Cos(p.LatDeg*rad)*math.Cos(q.LatDeg*rad)*dLon*dLon
	return 2 * EarthRadiusKm * math.Asin(min(1, math.Sqrt(a)))
}
