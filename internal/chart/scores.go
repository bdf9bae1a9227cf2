package chart

import (
	"fmt"
	"math"
	"strings"

	"budcall/internal/hindcast"
)

// The measures of the picture of scores, in px. It is narrow, so that it can be
// read on a phone.
const (
	scoreWidth = 480
	scoreLeft  = 46
	scoreRight = 468
	scoreGap   = 14 // between the small panels of a row
	perRow     = 4
)

const scoreStyle = style + `
.better{stroke:#23282d;stroke-width:1.2}.whisker{stroke:#6b6694;stroke-width:2}.value{fill:#23282d;stroke:#fff;stroke-width:1.2}
.case{fill:#6b6694;fill-opacity:.5}.tenth{fill:#a9a4c8;stroke:#6b6694;stroke-width:.7}.frame{fill:none;stroke:#8a9099}`

// Scores draws how well series were forecast, one below the other: skill by
// lead with its interval, forecasts against what came, and how the observed
// days lie in the forecasts. The same results always give the same bytes.
func Scores(results []hindcast.Result) []byte {
	p := scorePicture{&canvas{}}
	y := 8.0
	for _, r := range results {
		y = p.series(r, y)
	}
	if len(results) == 0 {
		p.text(12, y+18, "small", "nothing was scored")
		y += 30
	}
	var out canvas
	const shown = 1.5 // times larger on a wide screen
	out.add(`<svg xmlns="http://www.w3.org/2000/svg" lang="en" viewBox="0 0 %d %s" width="%s" height="%s" style="max-width:100%%;height:auto" role="img" aria-labelledby="title desc">`,
		scoreWidth, px(y), px(scoreWidth*shown), px(y*shown))
	out.add(`<title id="title">%s</title>`, clean(scoresTitle(results)))
	out.add(`<desc id="desc">%s</desc>`, clean(scoresText(results)))
	out.add(`<style>%s</style>`, scoreStyle)
	out.add(`<rect width="100%%" height="100%%" fill="#fff"/>`)
	out.b.Write(p.b.Bytes())
	out.add(`</svg>`)
	return out.b.Bytes()
}

func scoresTitle(results []hindcast.Result) string {
	if len(results) == 1 {
		return "How well it was forecast: " + results[0].Species + ", " + results[0].Phase
	}
	return fmt.Sprintf("How well %d series were forecast", len(results))
}

// scoresText says the figures for those who can't see the picture.
func scoresText(results []hindcast.Result) string {
	var parts []string
	for _, r := range results {
		for _, l := range r.Leads {
			if l.Ahead > 0 && drawable(l) {
				parts = append(parts, fmt.Sprintf("%s, %s, %d days ahead: skill %.2f against the %s, error %.1f days, %.0f %% inside the 80 %% interval.", r.Species, r.Phase, l.Lead, l.Skill, l.Better(), l.CRPS, 100*l.Coverage80))
			}
		}
	}
	return strings.Join(parts, " ")
}

// scorePicture is what the panels of scores draw with.
type scorePicture struct{ *canvas }

// series draws one series and gives where it ends.
func (p scorePicture) series(r hindcast.Result, y float64) float64 {
	for _, line := range wrap(clip(r.Species+", "+r.Phase), 46) {
		y += 20
		p.text(12, y, "head", line)
	}
	y += 17
	p.text(12, y, "small", clip(fmt.Sprintf("%s: %s, %d seasons", r.Series, units(r), r.Seasons)))
	scored := r
	scored.Leads = nil
	for _, l := range r.Leads {
		if l.Ahead > 0 && drawable(l) {
			scored.Leads = append(scored.Leads, l)
		}
	}
	if len(scored.Leads) == 0 {
		p.text(12, y+22, "small", "nothing could be scored")
		return y + 40
	}
	y = p.skill(scored.Leads, p.panel("Skill by days ahead of the mean date, with its 95 % interval", y))
	y = p.against(scored, p.panel("Forecast (upwards) against observed day (across)", y))
	return p.transform(scored.Leads, p.panel("Where the observed day lay in the forecast (PIT)", y)) + 16
}

// drawable is false of a lead without a place in the picture.
func drawable(l hindcast.Lead) bool {
	for _, v := range append([]float64{l.Skill, l.SkillLow, l.SkillHigh}, l.PIT[:]...) {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

func units(r hindcast.Result) string {
	switch {
	case r.Per == hindcast.PerYear:
		return "the year as a whole"
	case r.Units == 1:
		return "1 " + string(r.Per)
	}
	return fmt.Sprintf("%d %ss", r.Units, r.Per)
}

// panel writes a heading.
func (p scorePicture) panel(name string, y float64) float64 {
	p.text(12, y+26, "", name)
	return y + 36
}

// nice is a step of about a fifth of a span: 1, 2 or 5 times a power of ten.
func nice(span float64) float64 {
	if !(span > 0) || math.IsInf(span, 0) {
		return 1
	}
	raw := span / 5
	unit := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5} {
		if raw <= m*unit {
			return m * unit
		}
	}
	return 10 * unit
}

// cell is where the i-th small panel of a set lies.
func cell(i int, y, height float64) (x, top, wide float64) {
	wide = (scoreRight - scoreLeft - (perRow-1)*scoreGap) / perRow
	return scoreLeft + float64(i%perRow)*(wide+scoreGap), y + float64(i/perRow)*(height+40) + 16, wide
}
