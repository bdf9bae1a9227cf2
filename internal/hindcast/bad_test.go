package hindcast_test

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/hindcast"
)

const inventedDaily = "invented_daily_2015-2031.csv"

// edited changes the n-th line, counted from 1, of a text.
func edited(text string, n int, old, new string) string {
	lines := strings.SplitAfter(text, "\n")
	if !strings.Contains(lines[n-1], old) {
		panic(fmt.Sprintf("line %d is %q and holds no %q", n, lines[n-1], old))
	}
	lines[n-1] = strings.Replace(lines[n-1], old, new, 1)
	return strings.Join(lines, "")
}

// changed changes each temperature of a file of days, of which it keeps what is
// missing.
func changed(text string, to func(d civil.Date, c float64) float64) string {
	var out strings.Builder
	for line := range strings.Lines(text) {
		f := strings.Split(strings.TrimSpace(line), ",")
		if d, err := civil.Parse(f[0]); err == nil {
			for i, v := range f[1:] {
				if c, err := strconv.ParseFloat(v, 64); err == nil {
					f[i+1] = strconv.FormatFloat(to(d, c), 'f', 4, 64)
				}
			}
			line = strings.Join(f, ",") + "\n"
		}
		out.WriteString(line)
	}
	return out.String()
}

func warmer(text string, byK func(civil.Date) float64) string {
	return changed(text, func(d civil.Date, c float64) float64 { return c + byK(d) })
}

func fahrenheit(text string, from, to int) string {
	return changed(text, func(d civil.Date, c float64) float64 {
		if d.Year() < from || d.Year() > to {
			return c
		}
		return c*1.8 + 32
	})
}

// withLeaves adds a phase a week after each date, but in one year before it.
func withLeaves(text string, turned int) string {
	var more strings.Builder
	for line := range strings.Lines(text) {
		f := strings.Split(line, ",")
		doy, err := strconv.Atoi(f[0])
		if err != nil || len(f) != 8 || doy > 300 {
			continue
		}
		if doy += 7; f[3] == strconv.Itoa(turned) {
			doy -= 14
		}
		f[0], f[1] = strconv.Itoa(doy), "leaves out"
		more.WriteString(strings.Join(f, ","))
	}
	return text + more.String()
}

// from2023 is a change of 3 K from 2023 on; little by little, one of 0.4 K a
// year. Dates stay where they were, as the plants didn't move.
func from2023(d civil.Date) float64 {
	if d.Year() >= 2023 {
		return 3
	}
	return 0
}

func littleByLittle(d civil.Date) float64 { return 0.4 * float64(d.Year()-2015) }

// What looks wrong is used or refused, with the reason and the line: 48 cases
// are there when all is used (3 plots by 16 years).
func TestBadInputIsToldWithItsLine(t *testing.T) {
	observations, temperatures := read(t, "observations.csv"), read(t, inventedDaily)
	for _, row := range []struct {
		name                       string
		observations, temperatures string
		today                      civil.Date
		want                       string
		cases                      int
	}{
		{"a date in the future", observations, temperatures, civil.Of(2030, 1, 15),
			"lines 49–51: 3 dates, 2030-05-17 to 2030-05-23, are in the future, today is 2030-01-15: they aren't used", 45},
		{"a date before the first day of any heat", edited(observations, 4, "133", "20"), temperatures, 0,
			"line 4: Ashholm on 2015-01-20 is before 1 February, the first day of any heat here: it isn't used", 47},
		{"the last day of a leap year", edited(observations, 7, "130", "366"), temperatures, 0,
			"line 7: Ashholm on 2016-12-31 is the last day of a leap year: it isn't used", 47},
		{"a date of the wrong month", edited(observations, 4, "133", "193"), temperatures, 0,
			"line 4: Ashholm on 2015-07-12 is 58 days from the median of its 17 years: it is used", 48},
		{"stages in the wrong order in one year", withLeaves(observations, 2018), temperatures, 0,
			"line 13: Ashholm has bud break on 2018-05-26 and leaves out on 2018-05-19 (line 68), which comes later in 50 of 53 cases: it is used", 48},
		{"the whole file in degrees Fahrenheit", observations, fahrenheit(temperatures, 0, 3000), 0,
			inventedDaily + ": the temperatures look like degrees Fahrenheit, so none is used: name the columns tmin_f", 0},
		{"one year in degrees Fahrenheit", observations, fahrenheit(temperatures, 2019, 2019), 0,
			"the temperatures of 2019 look like degrees Fahrenheit, so none of that year is used", 45},
		{"minimum above maximum", observations, strings.Replace(temperatures, "2019-07-01,", "2019-07-01,60,5,7\n# ", 1), 0,
			": out of range on 2019-07-01: that day isn't used, correct it", 48},
		{"a station moved", observations, warmer(temperatures, from2023), 0,
			"more heat from 2023 on than before: see whether its sensor was moved", 48},
		{"a station that drifts", observations, warmer(temperatures, littleByLittle), 0,
			"more heat in 2030 than in 2015, changing little by little", 48},
		{"another file from some year on", edited(observations, 49, inventedDaily, "copy.csv"), temperatures, 0,
			`Ashholm has its temperatures from "copy.csv" in 2030 and from "invented_daily_2015-2031.csv" in 2012, 2015–2029`, 48},
		{"a quote that isn't closed", edited(observations, 49, "bud break", `"bud break`), temperatures, 0,
			"line 49: a quote that opens here is not closed", 45},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := invented
			r.LeadDays, r.Today = []int{14}, row.today
			f := inMemory(row.observations, row.temperatures)
			f.Temperatures = func(name string) (io.ReadCloser, error) {
				if name == "lost.csv" {
					return nil, errors.New("no such file")
				}
				return io.NopCloser(strings.NewReader(row.temperatures)), nil
			}
			got := mustRun(t, r, f)
			if notes := strings.Join(got.Notes, "\n"); !strings.Contains(notes, row.want) {
				t.Errorf("%q isn't told in\n%s", row.want, notes)
			}
			if l := got.Leads[0]; l.Ahead+l.Gone != row.cases || math.IsNaN(l.CRPS) {
				t.Errorf("%d + %d cases, want %d: %+v", l.Ahead, l.Gone, row.cases, l)
			}
		})
	}
}

// Nothing is told of a station that stays where it is.
func TestNothingIsToldOfAGoodStation(t *testing.T) {
	r := invented
	r.LeadDays = []int{14}
	for _, n := range mustRun(t, r, inventedFiles(t)).Notes {
		if strings.Contains(n, "sensor") || strings.Contains(n, "moved") || strings.Contains(n, "median of its") {
			t.Errorf("told for nothing: %s", n)
		}
	}
}

// A station that moves is told by its neighbours too, and they aren't.
func TestAMovedStationIsToldByItsNeighbours(t *testing.T) {
	temperatures := read(t, inventedDaily)
	files := map[string]string{inventedDaily: temperatures, "north.csv": warmer(temperatures, from2023), "east.csv": warmer(temperatures, func(d civil.Date) float64 { return math.Sin(float64(d)) })}
	var observations strings.Builder
	for line := range strings.Lines(read(t, "observations.csv")) {
		switch {
		case strings.Contains(line, ",Birkmoor,"):
			line = strings.Replace(line, inventedDaily, "north.csv", 1)
		case strings.Contains(line, ",Carrlund,"):
			line = strings.Replace(line, inventedDaily, "east.csv", 1)
		}
		observations.WriteString(line)
	}
	r := invented
	r.LeadDays = []int{14}
	notes := mustRun(t, r, hindcast.Files{Observations: strings.NewReader(observations.String()), Temperatures: func(name string) (io.ReadCloser, error) {
		if files[name] == "" {
			return nil, errors.New("no such file")
		}
		return io.NopCloser(strings.NewReader(files[name])), nil
	}}).Notes
	// Against the mean of two others that stay: 3 K; those against one that moves and one that stays: 1.5 K colder.
	all := strings.Join(notes, "\n")
	for _, want := range []string{"north.csv: 3.0 K warmer against the mean of the other files from 2023 on than before", "east.csv: 1.5 K colder against the mean of the other files from 2023 on"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q isn't told in\n%s", want, all)
		}
	}
}

// The year as a whole needs one place; which one is told.
func TestTheYearAsAWholeSaysItsTemperatures(t *testing.T) {
	r := invented
	r.LeadDays, r.Per = []int{14}, hindcast.PerYear
	got := mustRun(t, r, inMemory(strings.Replace(read(t, "observations.csv"), "Ashholm,2015,Betula pendula,"+inventedDaily, "Ashholm,2015,Betula pendula,lost.csv", 1), read(t, inventedDaily)))
	want := `forecast by the temperatures of "invented_daily_2015-2031.csv" alone, which 50 of 52 observations name`
	if notes := strings.Join(got.Notes, "\n"); !strings.Contains(notes, want) || got.Leads[0].Ahead+got.Leads[0].Gone != 16 {
		t.Errorf("%q isn't told in\n%s\n%+v", want, notes, got.Leads[0])
	}
}

// Two series with sites of one name stay apart when they are scored as one.
func TestSitesOfOneNameInTwoSeries(t *testing.T) {
	observations := read(t, "observations.csv")
	lines := strings.SplitAfter(observations, "\n")
	var both strings.Builder
	for i, line := range lines[2:] {
		line = strings.TrimSuffix(line, "\n")
		switch {
		case line == "":
		case i == 0:
			both.WriteString(line + ",series\n")
		default:
			both.WriteString(line + ",one\n" + line + ",two\n")
		}
	}
	r := invented
	r.LeadDays = []int{14}
	got := mustRun(t, r, inMemory(both.String(), read(t, inventedDaily)))
	if l := got.Leads[0]; got.Units != 10 || l.Ahead+l.Gone != 96 { // twice 5 units and 48 cases
		t.Errorf("%d units, %+v", got.Units, l)
	}
	r.Series = "TWO"
	if got := mustRun(t, r, inMemory(both.String(), read(t, inventedDaily))); got.Units != 5 || got.Series != "two" {
		t.Errorf("%d units of %s", got.Units, got.Series)
	}
}
