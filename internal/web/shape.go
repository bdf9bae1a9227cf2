package web

import (
	"budcall/internal/call"
	"budcall/internal/words"
)

// shape is a standing as it is drawn: a figure of its own beside the word, so
// that neither colour nor sight of the figure is needed.
type shape struct {
	Word string
	Path string // of an SVG 16 by 16
	Fill bool   // a filled figure, else an outline
}

// shapeOf gives the figure and the word of a standing.
func shapeOf(c *words.Catalogue, s call.Standing) shape {
	sh := shapes[s]
	sh.Word = c.Standing(s)
	return sh
}

// shapes is the figure of each standing.
var shapes = map[call.Standing]shape{
	call.Quiet:     {Path: "M5 8h6"},                                // a short stroke
	call.Ahead:     {Path: "M3 8h9M9 4l4 4-4 4"},                    // an arrow to the right
	call.Go:        {Path: "M8 2a6 6 0 1 0 .01 0z", Fill: true},     // a full disc
	call.Hurry:     {Path: "M8 1l7 13H1z", Fill: true},              // a full triangle
	call.LookFirst: {Path: "M8 1l7 7-7 7-7-7z"},                     // a diamond
	call.TooLate:   {Path: "M3 3l10 10M13 3L3 13"},                  // a cross
	call.Done:      {Path: "M2 9l4 4 8-10"},                         // a tick
	call.NotNeeded: {Path: "M8 2a6 6 0 1 0 .01 0zM3.8 3.8l8.4 8.4"}, // a ring struck through
}
