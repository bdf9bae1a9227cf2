package feed

import (
	"bufio"
	"bytes"
)

// MosmixExtremes counts the 12-hour extremes of a file of one station.
func MosmixExtremes(body []byte) (minima, maxima int, err error) {
	g, err := readMosmix(&input{Reader: bufio.NewReader(bytes.NewReader(body))}, Options{})
	if err != nil {
		return 0, 0, err
	}
	f, err := g.forecast()
	minima, maxima = f.extremes()
	return minima, maxima, err
}

// MetnoExtremes counts the six-hour extremes of an answer.
func MetnoExtremes(body []byte) (minima, maxima int, err error) {
	var a metnoAnswer
	if err := decodeJSON(body, "Locationforecast", &a); err != nil {
		return 0, 0, err
	}
	var f forecastSteps
	err = a.steps(&f)
	minima, maxima = f.extremes()
	return minima, maxima, err
}

func (f *forecastSteps) extremes() (minima, maxima int) {
	for _, s := range f.spans {
		if s.minC == s.minC {
			minima++
		}
		if s.maxC == s.maxC {
			maxima++
		}
	}
	return minima, maxima
}
