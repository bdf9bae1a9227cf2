package config_test

import (
	"fmt"
	"strings"
	"testing"

	"budcall/internal/config"
	"budcall/internal/ensemble"
)

const (
	normalsOfSite    = "normals: {years: 1991-2020, mean_c: [-4, -5, -1, 4, 11, 15, 18, 17, 12, 6, 1, -2], persistence: [.8, .8, .8, .8, .8, .8, .8, .8, .8, .8, .8, .8]}\n"
	normalsOfStation = "    normals:\n      years: 1961-1990\n      mean_c: [-7, -7, -3, 3, 10, 15, 17, 15, 10, 5, 0, -4]\n"
)

func TestWhichNormalsStandForASite(t *testing.T) {
	for _, row := range []struct {
		name           string
		site, station  string // text added to kolmi.yml and to station TWO, its second one
		want           *ensemble.Normals
		january        float64
		altitude, year float64
	}{
		{name: "nobody gives any"},
		{"its own come first", normalsOfSite, normalsOfStation, &ensemble.Normals{}, -4, 126, 2006},
		{"else those of its first station that has some, at the station's height", "", normalsOfStation, &ensemble.Normals{}, -7, 51, 1976},
	} {
		files := folder(t, "testdata/good", false)
		files["sites/kolmi.yml"] = append(files["sites/kolmi.yml"], row.site...)
		files["stations.yml"] = []byte(strings.Replace(string(files["stations.yml"]), "    id: FIE00142080\n", "    id: FIE00142080\n"+row.station, 1))
		p := parsed(t, files)
		n := p.Normals(p.Sites[0])
		if (n == nil) != (row.want == nil) || n != nil && (n.MeanC[0] != row.january || n.AltitudeM != row.altitude || n.MidYear != row.year) {
			t.Errorf("%s: %+v", row.name, n)
		}
		if said := strings.Contains(config.Understood(p), fmt.Sprintf(", normals about %.0f", row.year)); said != (row.want != nil) {
			t.Errorf("%s: said %v by\n%s", row.name, said, config.Understood(p))
		}
	}
}

func TestNormalsThatBeginInTheWrongMonthAreAWarning(t *testing.T) {
	files := folder(t, "testdata/good", false)
	files["sites/kolmi.yml"] = append(files["sites/kolmi.yml"], "normals: {years: 1991-2020, mean_c: [18, 17, 12, 6, 1, -2, -4, -5, -1, 4, 11, 15]}\n"...)
	want := "sites/kolmi.yml:12: normals.mean_c: January, 18 °C, is warmer than July, -4 °C (see that they begin with January; south of the equator this is right)\n"
	if got := lines(parsed(t, files).Warnings); !strings.Contains(got, want) {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}
