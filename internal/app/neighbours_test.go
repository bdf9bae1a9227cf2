package app

import (
	"fmt"
	"testing"

	"budcall/internal/config"
)

func TestNeighboursAreTheNearestWithinReach(t *testing.T) {
	// A degree of latitude is 111.2 km on a sphere of 6371 km (computed by hand: 2π·6371/360).
	at := func(code string, lat float64) config.Station {
		return config.Station{Code: code, LatDeg: lat, LonDeg: 25}
	}
	all := []config.Station{at("HERE", 60), at("FAR", 60.95), at("NEAR", 60.1), at("MID", 59.5), at("EDGE", 60.89)}
	within := func(all []config.Station) *config.Programme {
		return &config.Programme{Stations: all, Neighbours: config.Neighbours{WithinKm: 100, Most: 8}}
	}
	if got := fmt.Sprint(neighbours(within(all), all[0])); got != "[NEAR MID EDGE]" {
		t.Error(got)
	}
	var many []config.Station
	for i := range 20 {
		many = append(many, at(fmt.Sprintf("S%02d", i), 60+float64(i)/1000))
	}
	if got := neighbours(within(many), many[0]); len(got) != 8 || got[0] != "S01" {
		t.Error(got)
	}
	if got := neighbours(within(all[:1]), all[0]); got != nil {
		t.Error(got)
	}
	near := within(all)
	near.Neighbours = config.Neighbours{WithinKm: 20, Most: 8}
	if got := fmt.Sprint(neighbours(near, all[0])); got != "[NEAR]" {
		t.Errorf("within 20 km: %s", got)
	}
	near.Neighbours = config.Neighbours{WithinKm: 500, Most: 2}
	if got := fmt.Sprint(neighbours(near, all[0])); got != "[NEAR MID]" {
		t.Errorf("two at most: %s", got)
	}
}
