package demo

import (
	"fmt"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/stage"
)

// frost is a night of frost at a site after its buds had broken.
type frost struct {
	day  civil.Date // zero: there was none
	minC float64
}

// lateFrost finds the coldest night of frost between bud break and the end of
// flowering.
func (s *sky) lateFrost(site config.Site, t truth) (f frost) {
	days := civil.Range{First: t[stage.BudBreak], Last: t[stage.FloweringOver]}
	if days.First == 0 || days.Last == 0 {
		return f
	}
	for _, d := range s.days(place{site.LatDeg, site.LonDeg, site.AltitudeM}, days) {
		if d.MinC < f.minC {
			f = frost{d.Date, d.MinC}
		}
	}
	return f
}

// says is what somebody writes of it who comes to the trees later.
func (f frost) says() string {
	return fmt.Sprintf("Late frost in the night to %s: %.1f °C, and some flowers are brown.", dayMonth(f.day), f.minC)
}

// frozen adds a late frost to what is reported of the bags, once, by the first
// who comes after it.
func (c *crew) frozen(v visit, filled map[string]string) {
	f := c.frosts[v.site.Code]
	if f.day != 0 && v.today() >= f.day && c.once("frost "+v.site.Code) {
		filled["problem"] = f.says()
	}
}
