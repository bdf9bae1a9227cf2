package replay

import (
	"testing"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// The engine asks for the winds of days that are over, and no others are told.
func TestAGivenSeriesHasItsWinds(t *testing.T) {
	s, err := NewSeries(nil)
	if err != nil {
		t.Fatal(err)
	}
	first := civil.MustParse("2031-05-10")
	var winds []weather.Wind
	for i := range civil.Date(4) {
		winds = append(winds, weather.Wind{Date: first + i, GustMS: float64(18 + i)})
	}
	known := newSky(map[string]*Series{"MET": s.WithWinds(winds)})
	got, err := known.Winds(t.Context(), "MET", civil.Range{First: first + 1, Last: first + 2})
	if err != nil || len(got) != 2 || got[0].GustMS != 19 || got[1].GustMS != 20 {
		t.Errorf("%v %v", got, err)
	}
	if none, err := known.Winds(t.Context(), "OTHER", civil.Range{First: first, Last: first + 3}); err != nil || len(none) > 0 {
		t.Errorf("another station has %v %v", none, err)
	}
}
