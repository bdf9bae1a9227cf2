// Package chart is the pictures, as SVG: of one site's season, and of how well past
// seasons were forecast.
package chart

import (
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/stage"
)

// Season is what the picture of a season shows. Everything in it may be
// absent; what is absent is left out or said to be nothing.
type Season struct {
	Site      string // name
	Year      int
	Lang      string // language tag of the texts
	Heat      []Heat
	Narrowing []Track
	Calls     []Span
	Reports   []Mark
}

// Heat is the heat collected for one stage, against its median need. Stages
// have rules of their own, so each has a curve of its own.
type Heat struct {
	Stage  stage.BBCH
	Name   string  // said where the stage has no name in the language
	NeedCd float64 // °C·d; without one above 0 nothing is drawn
	Points []HeatPoint
}

// HeatPoint is the sum at the end of a day, in °C·d.
type HeatPoint struct {
	Date  civil.Date
	SumCd float64
}

// Track is how the forecast of one stage went, in the order of issue.
type Track struct {
	Stage  stage.BBCH
	Name   string // said where the stage has no name in the language
	Points []TrackPoint
}

// TrackPoint is one forecast; zero dates are beyond its horizon.
type TrackPoint struct {
	Issued        civil.Date
	P10, P50, P90 civil.Date
}

// Span is days of a task, and how it stood when they were told.
type Span struct {
	Task     call.Task
	Standing call.Standing
	Days     civil.Range
}

// Mark is something that was reported, in words.
type Mark struct {
	Date civil.Date
	Text string
}
