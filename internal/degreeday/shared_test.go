package degreeday_test

import (
	"encoding/csv"
	"io"
	"math"
	"os"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
	"budcall/internal/weather"
)

// none is no upper threshold, or a missing value.
var none = math.NaN()

// today is the date of single-day tests; nothing hangs on which it is.
var today = civil.Of(2031, 5, 3)

func mustRule(t testing.TB, m degreeday.Method, c degreeday.Cutoff, baseC, upperC float64) degreeday.Rule {
	t.Helper()
	r, err := degreeday.NewRule(m, c, baseC, upperC)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// extremes is a day of which minimum and maximum are known.
func extremes(date civil.Date, minC, maxC float64) weather.Day {
	return weather.Day{Date: date, MinC: minC, MaxC: maxC, MeanC: none}
}

// heat gives the heat of a day between two extremes by a single method.
func heat(t rapid.TB, r degreeday.Rule, minC, maxC float64) float64 {
	t.Helper()
	got, ok := r.Day(extremes(today, minC, maxC), weather.Missing(today+1))
	if !ok {
		t.Fatalf("%+v: no heat of %g to %g °C", r, minC, maxC)
	}
	return got
}

// records reads a CSV file by the names of its header.
func records(t testing.TB, path string) []map[string]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	header, err := r.Read()
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	var out []map[string]string
	for {
		fields, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		rec := map[string]string{}
		for i, name := range header {
			rec[name] = fields[i]
		}
		out = append(out, rec)
	}
	if len(out) == 0 {
		t.Fatalf("%s holds no rows", path)
	}
	return out
}

// number reads a field; empty is missing.
func number(t testing.TB, field string) float64 {
	t.Helper()
	if field == "" {
		return none
	}
	v, err := strconv.ParseFloat(field, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// series reads daily temperatures, date,tmin_c,tmax_c,tmean_c.
func series(t testing.TB, path string) []weather.Day {
	t.Helper()
	var days []weather.Day
	for _, rec := range records(t, path) {
		date, err := civil.Parse(rec["date"])
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		days = append(days, weather.Day{Date: date, MinC: number(t, rec["tmin_c"]), MaxC: number(t, rec["tmax_c"]), MeanC: number(t, rec["tmean_c"])})
	}
	return days
}

// near reports whether two numbers are within a tolerance; NaN is near nothing.
func near(a, b, tolerance float64) bool { return math.Abs(a-b) <= tolerance }
