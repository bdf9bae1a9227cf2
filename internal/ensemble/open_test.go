package ensemble_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

// openStation reads the daily means of an open series, the mid-range where no
// mean is given; it skips the test where the series aren't there.
func openStation(t testing.TB, file string) []ensemble.Mean {
	t.Helper()
	shared := os.Getenv("BUDCALL_SHARED")
	if shared == "" {
		shared = filepath.Join("..", "..", "..", "shared")
	}
	path := filepath.Join(shared, "data", file)
	if _, err := os.Stat(path); err != nil {
		t.Skipf("an open series isn't here (%v): set BUDCALL_SHARED to the folder that holds data/; the tests on made-up stations hold the same", err)
	}
	return readMeans(t, path)
}

// readMeans reads date,tmin_c,tmax_c,tmean_c, sorted by date; impossible days,
// minimum above maximum, are left out.
func readMeans(t testing.TB, path string) []ensemble.Mean {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var means []ensemble.Mean
	for _, l := range lines[1:] {
		low, high, mean := number(l[1]), number(l[2]), number(l[3])
		if math.IsNaN(mean) {
			mean = (low + high) / 2
		}
		if !math.IsNaN(mean) && !(low > high) {
			means = append(means, ensemble.Mean{Date: civil.MustParse(l[0]), MeanC: mean})
		}
	}
	return means
}

func number(text string) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// window gives the means of so many days from a day on, NaN where missing.
func window(means []ensemble.Mean, from civil.Date, days int) []float64 {
	out := make([]float64, days)
	for i := range out {
		out[i] = math.NaN()
	}
	for _, m := range means {
		if i := int(m.Date - from); i >= 0 && i < days {
			out[i] = m.MeanC
		}
	}
	return out
}
