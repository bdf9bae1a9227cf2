package demo

import (
	"math"
	"time"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// place is where weather is invented for.
type place struct {
	LatDeg, LonDeg, AltitudeM float64
}

// climate is the monthly mean temperatures at sea level, in °C, at a latitude.
type climate struct {
	latDeg float64
	meanC  [12]float64
}

// climates are invented, in the manner of the places east of the Baltic: from
// memory, rounded, and nobody's normals.
var climates = []climate{
	{50, [12]float64{-1.5, -0.5, 4.0, 9.6, 14.8, 18.1, 20.0, 19.4, 14.5, 9.0, 4.0, 0.2}},
	{56, [12]float64{-2.8, -2.9, 0.9, 6.8, 12.3, 16.0, 18.4, 17.3, 12.6, 7.2, 2.6, -0.8}},
	{61, [12]float64{-5.8, -6.3, -1.9, 4.0, 10.4, 15.0, 17.7, 16.0, 10.9, 5.0, 0.0, -3.6}},
	{66, [12]float64{-11.6, -11.0, -6.2, 0.0, 6.5, 12.2, 14.8, 12.4, 7.1, 0.6, -5.2, -9.2}},
	{70, [12]float64{-13.5, -12.8, -8.5, -2.6, 3.6, 9.2, 12.4, 10.8, 6.0, -0.6, -7.0, -11.0}},
}

// halfRangeC is half of the usual difference between a day's extremes, by
// month, in K: small in dark months, large in spring. Invented.
var halfRangeC = [12]float64{2.4, 2.8, 3.7, 4.4, 5.2, 5.2, 4.8, 4.5, 3.8, 2.7, 2.0, 2.1}

// warmingKPerYear is the slow rise of all years, which the program takes out
// again; invented.
const warmingKPerYear = 0.03

// normalC is the mean temperature of a day of the year at a place: between
// latitudes and between the middles of months on straight lines, 6.5 K colder
// with each km of height.
func normalC(p place, day civil.Date) float64 {
	lat := max(climates[0].latDeg, min(p.LatDeg, climates[len(climates)-1].latDeg))
	i := 1
	for i < len(climates)-1 && climates[i].latDeg < lat {
		i++
	}
	a, b := climates[i-1], climates[i]
	share := (lat - a.latDeg) / (b.latDeg - a.latDeg)
	seaLevel := (1-share)*between(a.meanC, day) + share*between(b.meanC, day)
	return seaLevel - p.AltitudeM/1000*weather.LapseKPerKm
}

// between gives the value of a day, from values that hold in the middle of
// their months.
func between(months [12]float64, day civil.Date) float64 {
	middle := civil.Of(day.Year(), day.Month(), 15)
	from, to := middle, civil.Of(day.Year(), day.Month()+1, 15)
	if day < middle {
		from, to = civil.Of(day.Year(), day.Month()-1, 15), middle
	}
	share := float64(day-from) / float64(to-from)
	return (1-share)*months[from.Month()-time.January] + share*months[to.Month()-time.January]
}

// summer is 1 in mid-July and 0 in mid-January.
func summer(day civil.Date) float64 {
	return 0.5 - 0.5*math.Cos(2*math.Pi*float64(day.YearDay()-15)/365.25)
}
