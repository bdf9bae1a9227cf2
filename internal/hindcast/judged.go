package hindcast

import (
	"fmt"
	"maps"
	"slices"

	"budcall/internal/weather"
)

// dayLine is a day and the line it was on.
type dayLine struct {
	weather.Day
	line int
}

// sorted puts days in order and keeps the first of several.
func sorted(lines []dayLine) (kept []dayLine, refused []Refusal) {
	slices.SortStableFunc(lines, func(a, b dayLine) int { return int(a.Date - b.Date) })
	for _, d := range lines {
		if n := len(kept); n > 0 && kept[n-1].Date == d.Date {
			refused = append(refused, Refusal{Line: d.line, Reason: fmt.Sprintf("%s is there twice: the first is used, keep each day once", d.Date)})
			continue
		}
		kept = append(kept, d)
	}
	return kept, refused
}

// inCelsius is what to do about degrees Fahrenheit.
const inCelsius = "name the columns tmin_f,tmax_f,tmean_f, or convert them to °C"

// judged marks what can't be used, and tells it: the whole file, or a year, in
// the wrong unit, and single days, all of a kind together.
func judged(lines []dayLine) ([]weather.Day, []Refusal) {
	days := make([]weather.Day, len(lines))
	for i, d := range lines {
		days[i] = d.Day
	}
	if all, suspicion := weather.JudgeAll(days); suspicion != "" {
		return all, []Refusal{{Reason: "the temperatures look like degrees Fahrenheit, so none is used: " + inCelsius}}
	}
	var told []Refusal
	var out []weather.Day
	for from, to := 0, 0; from < len(days); from = to {
		year := days[from].Date.Year()
		for to < len(days) && days[to].Date.Year() == year {
			to++
		}
		marked, suspicion := weather.JudgeAll(days[from:to])
		if suspicion != "" {
			told = append(told, Refusal{Line: lines[from].line, Reason: fmt.Sprintf("the temperatures of %d look like degrees Fahrenheit, so none of that year is used: %s", year, inCelsius)})
		}
		out = append(out, marked...)
	}
	return out, slices.Concat(told, marks(out, lines), midRanges(out))
}

// marks tells of the single days that were marked.
func marks(days []weather.Day, lines []dayLine) (told []Refusal) {
	first, n := map[weather.Mark]int{}, map[weather.Mark]int{}
	for i, d := range days {
		if d.Mark == weather.Usable || d.Mark == weather.Fahrenheit {
			continue
		}
		if n[d.Mark]++; n[d.Mark] == 1 {
			first[d.Mark] = i
		}
	}
	for _, m := range slices.Sorted(maps.Keys(n)) {
		i := first[m]
		reason := fmt.Sprintf("%s on %s: that day isn't used, correct it", m, days[i].Date)
		if n[m] > 1 {
			reason = fmt.Sprintf("%s on %d days, the first of them %s: they aren't used, correct them", m, n[m], days[i].Date)
		}
		told = append(told, Refusal{Line: lines[i].line, Reason: reason})
	}
	return told
}

// midRanges tells when the mid-range stands for the mean on some days and not
// on others: it is up to 1 K off, and by season.
func midRanges(days []weather.Day) (told []Refusal) {
	mid, mean := 0, 0
	for _, d := range days {
		switch _, midRange, ok := d.Mean(); {
		case ok && midRange:
			mid++
		case ok:
			mean++
		}
	}
	if mid == 0 || mean == 0 {
		return nil
	}
	return []Refusal{{Reason: fmt.Sprintf("%d days have a mean, and on %d others (min+max)/2 stands in for it: the two differ by up to 1 K, so give the same for all", mean, mid)}}
}
