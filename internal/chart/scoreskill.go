package chart

import (
	"fmt"
	"math"
	"strconv"

	"budcall/internal/hindcast"
)

// skillHeight is the height of the panel of skill.
const skillHeight = 150

// What of skill is shown at most: 1 is perfect, and what is below −1 is as bad
// as can be.
const (
	mostSkill  = 1.0
	leastSkill = -1.0
)

// skill draws skill by lead, time running to the right.
func (p scorePicture) skill(leads []hindcast.Lead, y float64) float64 {
	lo, hi := -0.1, 0.3
	for _, l := range leads {
		lo, hi = math.Min(lo, l.SkillLow), math.Max(hi, l.SkillHigh)
	}
	step := nice(math.Min(mostSkill, hi) - math.Max(leastSkill, lo))
	lo, hi = math.Max(leastSkill, step*math.Floor(lo/step)), math.Min(mostSkill, step*math.Ceil(hi/step))
	at := func(v float64) float64 {
		return y + skillHeight*(hi-math.Max(lo, math.Min(hi, v)))/(hi-lo)
	}
	for i := math.Ceil(lo/step - 1e-9); i*step <= hi+1e-9; i++ {
		v := i * step
		p.line("grid", scoreLeft, at(v), scoreRight, at(v))
		p.text(scoreLeft-6, at(v)+4, "small end", strconv.FormatFloat(v+0, 'f', decimals(step), 64))
	}
	p.line("better", scoreLeft, at(0), scoreRight, at(0))
	for _, l := range leads {
		x := p.across(leads, l.Lead)
		p.line("whisker", x, at(l.SkillLow), x, at(l.SkillHigh))
		p.add(`<circle class="value" cx="%s" cy="%s" r="4.5"/>`, px(x), px(at(l.Skill)))
		p.text(x, y+skillHeight+16, "small mid", strconv.Itoa(l.Lead))
	}
	p.text(scoreLeft, y+skillHeight+34, "small", "0: no better than mean date or regression on")
	p.text(scoreLeft, y+skillHeight+48, "small", "temperature, whichever is better; 1: perfect")
	return y + skillHeight + 48
}

// across is where a lead lies: the longest left.
func (p scorePicture) across(leads []hindcast.Lead, lead int) float64 {
	first, last := leads[0].Lead, leads[0].Lead
	for _, l := range leads {
		first, last = max(first, l.Lead), min(last, l.Lead)
	}
	const inset = 16
	if first == last {
		return (scoreLeft + scoreRight) / 2
	}
	return scoreLeft + inset + (scoreRight-scoreLeft-2*inset)*float64(first-lead)/float64(first-last)
}

func decimals(step float64) int {
	if step >= 0.1 {
		return 1
	}
	return 2
}

// pitHeight is the height of a small panel of tenths.
const pitHeight = 70

// transform draws for each lead the shares of cases by tenths of the forecast.
func (p scorePicture) transform(leads []hindcast.Lead, y float64) float64 {
	most := 0.25
	for _, l := range leads {
		for _, share := range l.PIT {
			most = math.Max(most, math.Min(1, share))
		}
	}
	end := y
	for i, l := range leads {
		x, top, wide := cell(i, y, pitHeight)
		p.text(x, top-5, "small", fmt.Sprintf("%d days ahead", l.Lead))
		for k, share := range l.PIT {
			bar := wide / float64(len(l.PIT))
			high := pitHeight * math.Max(0, math.Min(1, share)) / most
			p.add(`<rect class="tenth" x="%s" y="%s" width="%s" height="%s"/>`, px(x+float64(k)*bar), px(top+pitHeight-high), px(bar), px(high))
		}
		p.line("full", x, top+pitHeight*(1-0.1/most), x+wide, top+pitHeight*(1-0.1/most))
		p.line("edge", x, top+pitHeight, x+wide, top+pitHeight)
		p.text(x, top+pitHeight+13, "small", "early")
		p.text(x+wide, top+pitHeight+13, "small end", "late")
		end = top + pitHeight + 18
	}
	p.text(scoreLeft, end+14, "small", "Dashed: right. High ends: too sure. High middle: too wide.")
	return end + 14
}
