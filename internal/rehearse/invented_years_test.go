package rehearse_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/rehearse"
)

// longStation is an invented place with 16 years behind it and 6 to play: a
// yearly wave, and chance that lasts for days.
func longStation() rehearse.Station {
	chance := rand.New(rand.NewPCG(7, 11))
	means, odd := map[int][]float64{}, 0.0
	for d := civil.Of(1985, 1, 1); d < civil.Of(2007, 1, 1); d++ {
		odd = 0.8*odd + 1.8*chance.NormFloat64()
		wave := 6 - 12*math.Cos(2*math.Pi*float64(d.YearDay()-20)/365)
		means[d.Year()] = append(means[d.Year()], math.Round(10*(wave+odd))/10)
	}
	return rehearse.Station{Name: "Long", LatitudeDeg: 58, Means: means}
}

// long draws a trial on it.
func long(t testing.TB, change func(*rehearse.Settings)) *rehearse.Trial {
	t.Helper()
	set := rehearse.Usual(birch())
	if change != nil {
		change(&set)
	}
	tr, err := rehearse.NewTrial(set, []rehearse.Station{longStation()}, 2001, 2006)
	if err != nil {
		t.Fatal(err)
	}
	return tr
}
