package advance

import (
	"context"
	"errors"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/weather"
)

// gale answers the questions about wind alone.
type gale struct {
	Reader
	measured map[string][]weather.Wind
	foreseen []weather.Wind
	over     civil.Range
	fail     error
}

func (g *gale) Winds(_ context.Context, station string, over civil.Range) ([]weather.Wind, error) {
	g.over = over
	return g.measured[station], g.fail
}

func (g *gale) OutlookWinds(context.Context, string, time.Time) ([]weather.Wind, error) {
	return g.foreseen, g.fail
}

func TestTheWindsOfASeason(t *testing.T) {
	blows := func(day string, gust float64) weather.Wind {
		return weather.Wind{Date: civil.MustParse(day), GustMS: gust}
	}
	r := &gale{
		measured: map[string][]weather.Wind{"NEAR": {blows("2031-04-18", 9), blows("2031-04-20", 11)}, "FAR": {blows("2031-04-19", 30)}},
		foreseen: []weather.Wind{blows("2031-04-20", 99), blows("2031-04-21", 20), blows("2031-04-22", 25)},
	}
	task := Task{Site: config.Site{Code: "HOME", Zone: time.UTC, Stations: []string{"NEAR", "FAR"}}, Now: time.Date(2031, 4, 21, 6, 10, 0, 0, time.UTC)}
	outlook := []weather.Day{{Date: civil.MustParse("2031-04-21")}}
	for _, row := range []struct {
		sentence string
		stations []string
		outlook  []weather.Day
		want     []float64
	}{
		{"measured up to yesterday at the first station, foreseen from today on", task.Site.Stations, outlook, []float64{9, 11, 20, 25}},
		{"without a forecast that is young enough none is foreseen", task.Site.Stations, nil, []float64{9, 11}},
		{"without a station there is what is foreseen", nil, outlook, []float64{20, 25}},
	} {
		task.Site.Stations = row.stations
		g := &grounds{year: 2031, outlook: row.outlook}
		winds, err := g.winds(t.Context(), r, task)
		if err != nil || len(winds) != len(row.want) {
			t.Errorf("%s: %v %v", row.sentence, winds, err)
			continue
		}
		for i, w := range winds {
			if w.GustMS != row.want[i] {
				t.Errorf("%s: %v", row.sentence, winds)
			}
		}
	}
	if r.over.First.String() != "2031-01-01" || r.over.Last.String() != "2031-04-20" {
		t.Errorf("asked for %v", r.over)
	}
	r.fail = errors.New("the memory is away")
	task.Site.Stations = []string{"NEAR"}
	if _, err := (&grounds{year: 2031}).winds(t.Context(), r, task); !errors.Is(err, r.fail) {
		t.Errorf("%v", err)
	}
}
