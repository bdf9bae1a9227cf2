package replay_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"budcall/internal/civil"
)

// meanC is the daily mean of an invented station in °C: a course over the
// year, years that differ, and weather that hangs together over some days.
func meanC(station uint64, d civil.Date) float64 {
	noise := 0.0
	for back := range 6 {
		noise += rand.New(rand.NewPCG(uint64(d)-uint64(back), station)).NormFloat64() * math.Pow(0.7, float64(back))
	}
	year := rand.New(rand.NewPCG(uint64(d.Year()), 11)).NormFloat64()
	return math.Round((6.5-12*math.Cos(2*math.Pi*float64(d.YearDay()-22)/365.25)+2*noise+year)*10) / 10
}

// stationFile is the readings of an invented station from a year to the day
// before end. A day in a hundred is missing and one in two hundred can't be.
func stationFile(station uint64, first int, end civil.Date) string {
	var b strings.Builder
	b.WriteString("date,tmin_c,tmax_c,tmean_c\n")
	for d := civil.Of(first, 1, 1); d < end; d++ {
		c := meanC(station, d)
		switch r := rand.New(rand.NewPCG(uint64(d), 100+station)).Float64(); {
		case r < 0.01:
		case r < 0.015:
			fmt.Fprintf(&b, "%s,%.1f,%.1f,%.1f\n", d, c+5, c-4, c)
		default:
			fmt.Fprintf(&b, "%s,%.1f,%.1f,%.1f\n", d, c-4, c+5, c)
		}
	}
	return b.String()
}

// programme is a programme of so many sites at three stations, whose files
// hold the days before end.
func programme(t testing.TB, sites, firstYear int, end civil.Date) map[string]string {
	t.Helper()
	profile, err := os.ReadFile("../../config/profiles/silver-birch.yml")
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]string{
		"profiles/silver-birch.yml": string(profile),
		"programme.yml": "code: TRIAL\nname: Trial stands (invented)\nzone: Europe/Helsinki\ncoordinator: maia\ncoordinator_deputy: ilmi\nops: ops\n" +
			"listen: 127.0.0.1:0\nmetrics: 127.0.0.1:0\nribbons: {selfing: red, control: white}\n" +
			"mail:\n  relay: RELAY\n  tls: none\n  from: calls@birches.example\n",
		"people.yml": "people:\n" +
			"  - {code: maia, name: Maia Invented, email: maia@birches.example, phone: \"+44 1632 960001\"}\n" +
			"  - {code: ilmi, name: Ilmi Invented, email: ilmi@birches.example}\n" +
			"  - {code: otso, name: Otso Söderlind Invented, email: otso@birches.example, zone: Europe/London, can_go: [sat, sun]}\n" +
			"  - {code: aava, name: Aava Invented, email: aava@birches.example, phone: \"+44 1632 960002\"}\n" +
			"  - {code: ops, name: Opri Invented, email: ops@birches.example}\n",
		"stations.yml": "stations:\n",
	}
	for i := range 3 {
		files["stations.yml"] += fmt.Sprintf("  - {code: MET%d, name: Hut %d, lat_deg: %.1f, lon_deg: 25.0, altitude_m: %d, format: delimited, path: met%d.csv, unit: C}\n", i, i, 60.3+float64(i), 50+40*i, i)
		files[fmt.Sprintf("met%d.csv", i)] = stationFile(uint64(i), firstYear, end)
	}
	for i := range sites {
		deputy, second := "", ""
		if i%2 == 0 {
			deputy = "deputy: aava\n"
		}
		if i%3 == 0 {
			second = fmt.Sprintf(", MET%d", (i+1)%3)
		}
		files[fmt.Sprintf("sites/s%02d.yml", i)] = fmt.Sprintf("code: SITE%02d\nname: Stand %d\nlat_deg: %.2f\nlon_deg: 25.2\naltitude_m: %d\nprofile: silver-birch\nstations: [MET%d%s]\nlead: otso\n%s"+
			"trees:\n  - {code: S%02d-1, short: T1}\n  - {code: S%02d-2, short: T2}\n", i, i, 60.2+float64(i)/7, 40+11*i, i%3, second, deputy, i, i)
	}
	return files
}
