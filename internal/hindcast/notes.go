package hindcast

import (
	"fmt"
	"slices"
	"strings"
)

// remark is something that was left out or looks wrong in a season: of a unit,
// or of the season as a whole where that is empty.
type remark struct {
	year       int
	unit, text string
}

// gathered writes remarks as sentences, the units of one year and one reason
// together, and then the years of the same units and reason.
func gathered(all []remark) []string {
	type reason struct {
		year int
		text string
	}
	units := map[reason][]string{}
	var order []reason
	for _, r := range all {
		k := reason{r.year, r.text}
		if _, ok := units[k]; !ok {
			order = append(order, k)
		}
		if r.unit != "" && !slices.Contains(units[k], r.unit) {
			units[k] = append(units[k], r.unit)
		} else if units[k] == nil {
			units[k] = []string{}
		}
	}
	years := map[string][]int{}
	var texts []string
	for _, k := range order {
		t := k.text
		if len(units[k]) > 0 {
			t = strings.Join(units[k], ", ") + ": " + t
		}
		if years[t] == nil {
			texts = append(texts, t)
		}
		years[t] = append(years[t], k.year)
	}
	var out []string
	for _, t := range texts {
		out = append(out, spans(years[t])+": "+t)
	}
	return out
}

// spans writes years, runs of them shortened: 1990–1993, 1997.
func spans(years []int) string {
	slices.Sort(years)
	years = slices.Compact(years)
	var out []string
	for i := 0; i < len(years); {
		from := i
		for i++; i < len(years) && years[i] == years[i-1]+1; i++ {
		}
		switch i - from {
		case 1:
			out = append(out, fmt.Sprint(years[from]))
		case 2:
			out = append(out, fmt.Sprint(years[from]), fmt.Sprint(years[i-1]))
		default:
			out = append(out, fmt.Sprintf("%d–%d", years[from], years[i-1]))
		}
	}
	return strings.Join(out, ", ")
}
