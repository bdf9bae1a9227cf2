package weather_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/weather"
)

func TestDistancesAlongTheEarth(t *testing.T) {
	at := func(lat, lon float64) weather.Place { return weather.Place{LatDeg: lat, LonDeg: lon} }
	for _, row := range []struct {
		name string
		a, b weather.Place
		want float64
		off  float64 // km
	}{
		{"a degree of latitude: 6371·π/180, computed by hand", at(61, 25), at(62, 25), 111.1949, 1e-4},
		{"a degree of longitude at 60° north is nearly half of one at the equator: 2·6371·asin(sin 0.5° · cos 60°), computed by hand", at(60, 25), at(60, 26), 55.5969, 1e-4},
		{"from the equator to the pole: 6371·π/2, computed by hand", at(0, 0), at(90, 77), 10007.543, 1e-3},
		{"from one side of the earth to the other: 6371·π, computed by hand", at(-12.5, 20), at(12.5, -160), 20015.087, 1e-3},
		{"across the day line it is the short way: 6371·2°·π/180, computed by hand", at(0, 179), at(0, -179), 222.3899, 1e-4},
		{"Nashville to Los Angeles: 2887.26 km for radius 6372.8 is Rosetta Code's 'Haversine formula' (from memory), here times 6371/6372.8", at(36.12, -86.67), at(33.94, -118.40), 2887.26 * 6371 / 6372.8, 0.005},
	} {
		if got := row.a.DistanceKm(row.b); math.Abs(got-row.want) > row.off {
			t.Errorf("%s: %.4f km, not %.4f", row.name, got, row.want)
		}
	}
}

func TestDistanceIsTheSameBothWaysAndNoDetourIsShorter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		place := func(name string) weather.Place {
			return weather.Place{LatDeg: rapid.Float64Range(-90, 90).Draw(t, name+" lat"), LonDeg: rapid.Float64Range(-180, 180).Draw(t, name+" lon")}
		}
		a, b, c := place("a"), place("b"), place("c")
		ab, ba := a.DistanceKm(b), b.DistanceKm(a)
		if math.Abs(ab-ba) > 1e-9 || ab < 0 || ab > math.Pi*weather.EarthRadiusKm+1e-6 || a.DistanceKm(a) != 0 {
			t.Fatalf("%v to %v is %g, back %g", a, b, ab, ba)
		}
		if detour := ab + b.DistanceKm(c); a.DistanceKm(c) > detour+1e-3 {
			t.Fatalf("%v to %v is %g, by %v only %g", a, c, a.DistanceKm(c), b, detour)
		}
	})
}
