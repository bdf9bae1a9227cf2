package advance

import (
	"fmt"
	"math"

	"budcall/internal/config"
	"budcall/internal/stage"
)

// enoughOthers is how many other sites make a year's mean to compare with.
const enoughOthers = 3

// drift says so where a site's stages need another heat than they used to,
// beside what the other sites' did: trees don't change that fast, stations do.
func (l *learning) drift(own *reporter, s config.Site, sights []stage.Sight, needs []stage.Requirement) []string {
	years, by := stage.Departures(sights)
	compared := true
	for i, y := range years {
		mean, ok := l.elsewhere(own, y)
		if compared = compared && ok; ok {
			by[i] -= mean
		}
	}
	step, found := stage.FindStep(years, by)
	if !found {
		return nil
	}
	spread := 0.0
	for _, n := range needs {
		spread += n.LogSD / float64(len(needs))
	}
	percent, more := 100*(math.Exp(math.Abs(step.By)*spread)-1), "more"
	if step.By < 0 {
		more = "less"
	}
	beside := ""
	if compared {
		beside = ", and other sites' don't"
	}
	first := "its stations"
	if len(s.Stations) > 0 {
		first = s.Stations[0]
	}
	return []string{fmt.Sprintf("site %s: since %d its stages come at about %.0f %% %s heat than before%s: ask whether the thermometer of %s was moved or changed, and if so give the site another station first", s.Code, step.Since, percent, more, beside, first)}
}

// elsewhere is a year's mean departure at the other sites.
func (l *learning) elsewhere(own *reporter, year int) (mean float64, ok bool) {
	n := 0.0
	for _, d := range l.departures[year] {
		if d.group != own.group {
			mean, n = mean+d.by, n+1
		}
	}
	return mean / n, n >= enoughOthers
}

// departure is a pooled site's in a year.
type departure struct {
	group int
	by    float64
}

// depart notes the departures of the pooled sites by year.
func (l *learning) depart(sights []stage.Sight) {
	l.departures = map[int][]departure{}
	of := map[int][]stage.Sight{}
	most := -1
	for _, s := range sights {
		of[s.Group] = append(of[s.Group], s)
		most = max(most, s.Group)
	}
	for g := range most + 1 {
		years, by := stage.Departures(of[g])
		for i, y := range years {
			l.departures[y] = append(l.departures[y], departure{g, by[i]})
		}
	}
}
