package ensemble

import (
	"fmt"
	"math"
	"strings"
)

// How many years make an ensemble.
const (
	EnoughYears = 10 // own ones, below which others' are borrowed
	fullYears   = 30 // up to which years are generated where there are fewer than enough
)

// Past is where a site's members may come from.
type Past struct {
	Site      string // its code, from which generated years are seeded
	AltitudeM float64
	Own       []Mean // the site's days of past years as they are used, sorted
	Read      []Mean // those of them that the site's first station read itself, on which loans are fitted; nil: Own
	Lenders   []Lender
	Normals   *Normals // of the last resort; nil: there is none
}

// Origin says where members come from.
type Origin struct {
	Own       int    // years of the site's own
	Lent      []Lent // years borrowed, in the order of lenders; only those that gave any
	Generated int    // years generated from monthly normals
}

// Lent is how many years came from a loan.
type Lent struct {
	Loan
	Years int
}

// SideBySide tells whether the lender and the site were read on enough days
// together to be held against each other.
func (l Lent) SideBySide() bool { return l.OverlapDays >= leastOverlap }

// String says it in English: "2 years of its own, 28 of KOL-MET (its days stand
// for the site's within 1.7 K; 731 days seen side by side)".
func (o Origin) String() string {
	var parts []string
	if o.Own > 0 {
		parts = append(parts, fmt.Sprintf("%d years of its own", o.Own))
	}
	for _, l := range o.Lent {
		seen := "never seen side by side, corrected for altitude alone"
		if l.SideBySide() {
			seen = fmt.Sprintf("%d days seen side by side", l.OverlapDays)
		}
		parts = append(parts, fmt.Sprintf("%d of %s (its days stand for the site's within %.1f K; %s)", l.Years, l.Station, l.ErrSDK, seen))
	}
	if o.Generated > 0 {
		parts = append(parts, fmt.Sprintf("%d generated from monthly normals", o.Generated))
	}
	if len(parts) == 0 {
		return "no years at all"
	}
	return strings.Join(parts, ", ")
}

// Members makes a site's members of its own years where they are enough, and
// else takes in the days that it lacks from its lenders, one after the other
// until they are, each day the site's own where there is one. Where even that
// leaves fewer than ten years, generated ones make them thirty. Normals that
// can't be are as good as none: check them before.
func (p Past) Members(a Alignment) (Members, Origin) {
	m := FromMeans(p.Own, a)
	o := Origin{Own: len(m.Years)}
	days, read := p.Own, p.Read
	if read == nil {
		read = p.Own
	}
	for _, from := range p.Lenders {
		if len(m.Years) >= EnoughYears {
			return m, o
		}
		loan := Borrow(read, p.AltitudeM, from)
		days = loan.filled(days, from.Means)
		had := len(m.Years)
		if m = FromMeans(days, a); len(m.Years) > had {
			o.Lent = append(o.Lent, Lent{loan, len(m.Years) - had})
		}
	}
	if len(m.Years) < EnoughYears && p.Normals != nil {
		o.Generated = m.generate(p, a)
	}
	return m, o
}

// filled gives days with the lender's carried where there is none.
func (l Loan) filled(days, lender []Mean) []Mean {
	out := make([]Mean, 0, len(lender))
	i := 0
	for _, d := range lender {
		for ; i < len(days) && days[i].Date < d.Date; i++ {
			out = append(out, days[i])
		}
		own := i < len(days) && days[i].Date == d.Date
		if own && !math.IsNaN(days[i].MeanC) {
			continue // the next round takes it
		}
		if own {
			i++
		}
		if c := l.At(d); !math.IsNaN(c) {
			out = append(out, Mean{d.Date, c})
		}
	}
	return append(out, days[i:]...)
}

// generate adds generated years until there are as many as help. Their Years are
// 0, −1, −2 …, which no weather is of.
func (m *Members) generate(p Past, a Alignment) (generated int) {
	g, err := NewGenerator(p.Site, p.Normals.At(p.AltitudeM), a.Year)
	if err != nil || a.Horizon < 1 {
		return 0
	}
	for ; len(m.TempC) < fullYears; generated++ {
		m.Years = append(m.Years, -generated)
		m.TempC = append(m.TempC, g.Year(generated, m.From, a.Horizon))
	}
	return generated
}
