package replay_test

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/notice"
	"budcall/internal/replay"
	"budcall/internal/weather"
)

// Readings that are given are known on the same days, and remembered in the
// same way, as those that are pulled from a file: also those with more
// decimals than past years keep, missing ones and marked ones.
func TestGivenReadingsAreThoseOfTheFile(t *testing.T) {
	first, last := civil.MustParse("2016-03-25"), civil.MustParse("2016-05-10")
	files := programme(t, 3, 2006, last+10)
	var fine strings.Builder // of MET1, with thousandths of a degree
	for line := range strings.Lines(files["met1.csv"]) {
		if day, rest, _ := strings.Cut(strings.TrimSpace(line), ","); day == "date" {
			fmt.Fprintf(&fine, "%s,%s\n", day, rest)
		} else {
			var min, max, mean float64
			fmt.Sscanf(strings.ReplaceAll(rest, ",", " "), "%g %g %g", &min, &max, &mean)
			fmt.Fprintf(&fine, "%s,%.3f,%.3f,%.3f\n", day, min-0.0437, max+0.0281, mean+0.0163)
		}
	}
	files["met1.csv"] = fine.String()
	dir := folder(t, files, "127.0.0.1:9")
	play := func(change func(*replay.Options)) string {
		s := seasonOf(t, dir, first, change)
		if err := s.PlayTo(t.Context(), last.In(time.UTC, 0, 0)); err != nil {
			t.Fatal(err)
		}
		// Whoever looks after files is told of theirs; readings that are given have none.
		kept := s.Kept()
		kept.Letters = slices.DeleteFunc(slices.Clone(kept.Letters), func(l notice.Parcel) bool { return l.Kind == string(notice.Ops) })
		raw, err := json.MarshalIndent(kept, "", " ")
		if err != nil {
			t.Fatal(err)
		}
		return string(raw)
	}
	pulled := play(nil)
	given := play(func(o *replay.Options) {
		o.Series = map[string]*replay.Series{}
		for i := range 3 {
			o.Series[fmt.Sprintf("MET%d", i)] = seriesOf(t, files[fmt.Sprintf("met%d.csv", i)])
		}
	})
	if n := strings.Count(pulled, `"Letter":`); n < 8 {
		t.Errorf("only %d things were told: the season isn't worth comparing", n)
	}
	if pulled != given {
		a, b := strings.Split(pulled, "\n"), strings.Split(given, "\n")
		for i := range min(len(a), len(b)) {
			if a[i] != b[i] {
				t.Fatalf("line %d\npulled %s\ngiven  %s", i+1, a[i], b[i])
			}
		}
		t.Fatalf("%d lines pulled, %d given", len(a), len(b))
	}
}

func TestASeriesMustBeInOrder(t *testing.T) {
	day := func(text string) weather.Day {
		return weather.Day{Date: civil.MustParse(text), MinC: 1, MaxC: 3, MeanC: 2}
	}
	for _, c := range []struct {
		sentence string
		days     []weather.Day
		refused  bool
	}{
		{"no days are a series", nil, false},
		{"days in order are", []weather.Day{day("2015-12-30"), day("2015-12-31"), day("2016-01-02")}, false},
		{"a day without values may be in it", []weather.Day{day("2015-12-30"), {Date: civil.MustParse("2015-12-31"), MinC: math.NaN(), MaxC: math.NaN(), MeanC: math.NaN()}}, false},
		{"a day twice is refused", []weather.Day{day("2016-05-01"), day("2016-05-01")}, true},
		{"days the wrong way round are refused", []weather.Day{day("2016-05-02"), day("2016-05-01")}, true},
		{"years the wrong way round are refused", []weather.Day{day("2016-05-02"), day("2015-05-03"), day("2016-05-03")}, true},
		{"the last day of a year twice is refused", []weather.Day{day("2015-12-31"), day("2015-12-31"), day("2016-01-01")}, true},
	} {
		if _, err := replay.NewSeries(c.days); (err != nil) != c.refused {
			t.Errorf("%s: %v", c.sentence, err)
		}
	}
}
