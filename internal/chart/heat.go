package chart

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"budcall/internal/civil"
	"budcall/internal/words"
)

// heatHeight is the height of the panel from nothing to the whole need.
const heatHeight = 170

// labelled is a text that belongs to a day.
type labelled struct {
	x    float64
	text string
}

// heat draws each stage's sum as a share of its need, up to the day on which
// it is reached, and gives where the panel ends.
func (f frame) heat(all []Heat, y float64) float64 {
	y = f.head(words.ChartHeat, y)
	var labels []labelled
	var curves [][]point
	for _, h := range all {
		curve, reached := f.curve(h)
		if len(curve) == 0 {
			continue
		}
		curves = append(curves, curve)
		text := f.cat.Text(words.ChartNeed, words.Args{"stage": f.stage(h.Stage, h.Name), "need": f.cat.Number(h.NeedCd)})
		if !reached {
			text += ", " + f.share(1-curve[len(curve)-1].y/heatHeight)
		}
		labels = append(labels, labelled{curve[len(curve)-1].x, text})
	}
	if len(curves) == 0 {
		return f.nothing(y)
	}
	top := f.above(labels, y)
	bottom := top + heatHeight
	f.axis.grid(f.canvas, f.cat, top, bottom)
	for _, share := range []float64{0, 0.5, 1} {
		at := bottom - share*heatHeight
		f.text(left-8, at+4, "small end", f.share(share))
		f.line(map[bool]string{true: "full", false: "grid"}[share == 1], left, at, right, at)
	}
	for i, curve := range curves {
		for j := range curve {
			curve[j].y += top
		}
		f.path(fmt.Sprintf("curve c%d", i%5), curve, false)
		end := curve[len(curve)-1]
		f.add(`<circle class="reached" cx="%s" cy="%s" r="4"/>`, px(end.x), px(end.y))
	}
	return bottom + 26
}

// above writes texts above a panel, each with a line down to its day, and
// gives where the panel begins. A text runs to the right from its line, and
// those further left stand higher, so that no line runs through a text.
func (f frame) above(labels []labelled, y float64) float64 {
	slices.SortStableFunc(labels, func(a, b labelled) int { return cmp.Compare(b.x, a.x) })
	var l lanes
	lane := make([]int, len(labels))
	at := make([]float64, len(labels))
	for i, t := range labels {
		labels[i].text = clip(t.text)
		lane[i], at[i] = l.place(t.x, labels[i].text)
	}
	top := y + float64(len(l.texts))*lineStep + 8
	for i, t := range labels {
		base := top - 10 - float64(lane[i])*lineStep
		f.line("leader", t.x, base-8, t.x, top)
		f.text(at[i], base, "small", t.text)
	}
	return top
}

// curve gives a stage's line, y counted down from the whole need, and whether
// the need was reached.
func (f frame) curve(h Heat) (points []point, reached bool) {
	if !(h.NeedCd > 0) || math.IsInf(h.NeedCd, 0) {
		return nil, false
	}
	last := civil.Date(0)
	for _, p := range h.Points {
		if math.IsNaN(p.SumCd) || math.IsInf(p.SumCd, 0) || p.Date < last || p.Date == 0 {
			continue
		}
		last = p.Date
		share := min(1, max(0, p.SumCd/h.NeedCd))
		points = append(points, point{f.noon(p.Date), heatHeight * (1 - share)})
		if share == 1 {
			return points, true
		}
	}
	return points, false
}

func (f frame) share(s float64) string {
	return f.cat.Text(words.ChartShare, words.Args{"n": f.cat.Number(100 * s)})
}
