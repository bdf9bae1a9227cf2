package advance_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"budcall/internal/advance"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/stage"
	"budcall/internal/weather"
)

// keenLogSD is what trees' needs differ by here, on the log scale: so little that
// what a gap leaves open shows.
const keenLogSD = 0.10

// covering counts how often 80 % intervals hold what came.
type covering struct{ inside, n float64 }

func (c covering) share() float64 { return c.inside / c.n }

// count asks for bud break of trees at every twentieth of what they may need,
// by the real heat of a year: of a day on which the chance goes from a to b, the
// part of it between 0.1 and 0.9 counts as inside.
func (c *covering) count(v advance.Verdict, real []weather.Day, year int) {
	for _, i := range v.Issued {
		if i.Code != stage.BudBreak {
			continue
		}
		for z := range 19 {
			need := 60 * math.Exp(keenLogSD*math.Sqrt2*math.Erfinv(2*float64(z+1)/20-1))
			day, heat := civil.Of(year, 3, 1), 0.0
			for _, d := range real {
				if mean, _, ok := d.Mean(); ok && d.Date >= day && d.Date.Year() == year {
					if heat += max(0, mean-5); heat >= need {
						a, b := i.Days.On(d.Date-1), i.Days.On(d.Date)
						c.n++
						if b > a {
							c.inside += max(0, min(b, 0.9)-max(a, 0.1)) / (b - a)
						}
						break
					}
				}
			}
		}
	}
}

// withhold issues bud break on a day of a year with the last days of the site's
// station missing, and its lender's there.
func withhold(t testing.TB, own, lender config.Station, all map[string][]weather.Day, issued civil.Date, days int) advance.Verdict {
	t.Helper()
	b := newBench(t)
	b.task.Programme.Stations = []config.Station{own, lender}
	b.task.Site.Stations, b.task.Site.AltitudeM = []string{own.Code, lender.Code}, own.AltitudeM
	b.task.Site.LatDeg, b.task.Site.LonDeg = own.LatDeg, own.LonDeg
	b.task.Programme.Profiles["birch"].Stages[1].LogSD = keenLogSD
	b.memory.days = map[string][]weather.Day{
		own.Code:    until(all[own.Code], issued-civil.Date(days)),
		lender.Code: until(all[lender.Code], issued),
	}
	b.task.Now = issued.In(b.task.Site.Zone, 17, 0)
	return b.do(t)
}

// covers withholds days of the years and holds the 80 % intervals to their word.
func covers(t *testing.T, stations []config.Station, all map[string][]weather.Day, years []int) {
	for _, days := range []int{0, 1, 3, 7, 14, 30} {
		var c covering
		for _, y := range years {
			for i, own := range stations {
				lender := stations[(i+1)%len(stations)]
				for _, issued := range []civil.Date{civil.Of(y, 4, 20), civil.Of(y, 5, 5)} {
					c.count(withhold(t, own, lender, all, issued, days), all[own.Code], y)
				}
			}
		}
		t.Logf("%2d days withheld: 80 %% intervals of bud break hold %.3f of %.0f", days, c.share(), c.n)
		if c.share() < 0.72 || c.share() > 0.88 {
			t.Errorf("%d days withheld: 80 %% intervals of bud break hold %.3f", days, c.share())
		}
	}
}

// Real days of Hubbard Brook (USDA Forest Service, EDI knb-lter-hbr.59; heights
// from memory, the places are of no matter).
func TestForecastsCoverWhereRealDaysAreWithheld(t *testing.T) {
	dir := os.Getenv("BUDCALL_SHARED")
	if dir == "" {
		dir = "../../../shared"
	}
	stations := []config.Station{
		{Code: "HQ", AltitudeM: 253}, {Code: "STA1", AltitudeM: 488}, {Code: "STA14", AltitudeM: 728}, {Code: "STA6", AltitudeM: 747},
	}
	all := map[string][]weather.Day{}
	for _, st := range stations {
		all[st.Code] = readDays(t, filepath.Join(dir, "data", "daily_hubbard_brook_"+st.Code+".csv"))
	}
	var years []int
	for y := 1996; y <= 2023; y += 3 {
		years = append(years, y)
	}
	covers(t, stations, all, years)
}

// The same of our own making: two stations that differ from day to day.
func TestForecastsCoverWhereInventedDaysAreWithheld(t *testing.T) {
	all := map[string][]weather.Day{"A": rough(civil.Of(2050, 12, 31))}
	all["B"] = besides(all["A"], 1, 2)
	var years []int
	for y := 2020; y <= 2050; y += 2 {
		years = append(years, y)
	}
	covers(t, []config.Station{{Code: "A", AltitudeM: 100}, {Code: "B", AltitudeM: 100}}, all, years)
}

// readDays reads a plain file of days.
func readDays(t testing.TB, path string) (days []weather.Day) {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Skipf("the open series aren't here (%v): set BUDCALL_SHARED to the folder that holds data/", err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		d := weather.Day{Date: civil.MustParse(row[0]), MinC: celsius(row[1]), MaxC: celsius(row[2]), MeanC: celsius(row[3])}
		if d.MinC > d.MaxC {
			d.Mark = weather.MinAboveMax
		}
		days = append(days, d)
	}
	if !slices.IsSortedFunc(days, func(a, b weather.Day) int { return int(a.Date - b.Date) }) {
		t.Fatalf("%s isn't sorted", path)
	}
	return days
}

func celsius(field string) float64 {
	c, err := strconv.ParseFloat(field, 64)
	if err != nil {
		return math.NaN()
	}
	return c
}
