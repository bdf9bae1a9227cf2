package rehearse_test

import (
	"os"
	"testing"

	"budcall/internal/rehearse"
)

// inventedStation reads our own small file: eight years of an invented place.
func inventedStation(t testing.TB) rehearse.Station {
	t.Helper()
	in, err := os.Open("testdata/invented.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	means, err := rehearse.ReadTemperatures("testdata/invented.csv", in)
	if err != nil {
		t.Fatal(err)
	}
	return rehearse.Station{Name: "Lill", LatitudeDeg: 58, Means: means}
}

// invented draws a trial on it.
func invented(t testing.TB, change func(*rehearse.Settings)) *rehearse.Trial {
	t.Helper()
	set := rehearse.Usual(birch())
	if change != nil {
		change(&set)
	}
	tr, err := rehearse.NewTrial(set, []rehearse.Station{inventedStation(t)}, 2001, 2008)
	if err != nil {
		t.Fatal(err)
	}
	return tr
}
