package hindcast

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
	"budcall/internal/weather"
)

// ReadTemperatures reads daily temperatures, date,tmin_c,tmax_c,tmean_c in any
// order of columns; empty is missing. Days are judged; a line that can't be
// read, or of a day that was there before, is refused.
func ReadTemperatures(r io.Reader) ([]weather.Day, []Refusal, error) {
	c := csv.NewReader(r)
	c.FieldsPerRecord, c.ReuseRecord, c.Comment = -1, true, '#'
	first, err := c.Read()
	if err != nil {
		return nil, nil, fmt.Errorf("line 1: reading the header: %w: give a file with date,tmin_c,tmax_c,tmean_c", err)
	}
	at := map[string]int{}
	for i, f := range first {
		at[strings.ToLower(strings.TrimSpace(strings.TrimPrefix(f, "\ufeff")))] = i
	}
	if _, ok := at["date"]; !ok {
		return nil, nil, errors.New("line 1: no column is called date: give date,tmin_c,tmax_c,tmean_c")
	}
	var days []weather.Day
	var refused []Refusal
	for {
		fields, err := c.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, nil, fmt.Errorf("%w: correct the line or take it out", err)
		}
		d, err := dayOf(fields, at)
		if err != nil {
			line, _ := c.FieldPos(0)
			refused = append(refused, Refusal{line, err.Error()})
			continue
		}
		days = append(days, d)
	}
	days, twice := sorted(days)
	judged, suspicion := weather.JudgeAll(days)
	if suspicion != "" {
		refused = append(refused, Refusal{1, suspicion})
	}
	return judged, append(refused, twice...), nil
}

func dayOf(fields []string, at map[string]int) (weather.Day, error) {
	get := func(name string) string {
		if i, ok := at[name]; ok && i < len(fields) {
			return strings.TrimSpace(fields[i])
		}
		return ""
	}
	date, err := civil.Parse(get("date"))
	if err != nil {
		return weather.Day{}, err
	}
	d := weather.Missing(date)
	for name, v := range map[string]*float64{"tmin_c": &d.MinC, "tmax_c": &d.MaxC, "tmean_c": &d.MeanC} {
		text := get(name)
		if text == "" {
			continue
		}
		if *v, err = strconv.ParseFloat(text, 64); err != nil || math.IsInf(*v, 0) {
			return weather.Day{}, fmt.Errorf("%s of %s is %q: write a number of °C, or nothing for missing", name, date, text)
		}
	}
	return d, nil
}

func sorted(days []weather.Day) ([]weather.Day, []Refusal) {
	slices.SortStableFunc(days, func(a, b weather.Day) int { return int(a.Date - b.Date) })
	var refused []Refusal
	kept := days[:0]
	for _, d := range days {
		if n := len(kept); n > 0 && kept[n-1].Date == d.Date {
			refused = append(refused, Refusal{0, fmt.Sprintf("%s is there twice: the first is used, keep each day once", d.Date)})
			continue
		}
		kept = append(kept, d)
	}
	return kept, refused
}

// thermometer is one file's daily means.
type thermometer struct {
	means []ensemble.Mean
	years map[int][]float64 // of each year from 1 January on, NaN where missing
}

func newThermometer(days []weather.Day) *thermometer {
	t := &thermometer{means: stage.Means(days), years: map[int][]float64{}}
	for _, m := range t.means {
		y := m.Date.Year()
		if t.years[y] == nil {
			t.years[y] = missing(daysOfYear)
		}
		if i := int(m.Date - civil.Of(y, 1, 1)); i < daysOfYear {
			t.years[y][i] = m.MeanC
		}
	}
	return t
}

// daysOfYear is the window in which all is reckoned, from 1 January.
const daysOfYear = 365

func missing(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.NaN()
	}
	return out
}

// longestHole is how many missing days in a row of a past season are bridged
// by a straight line before its heat is given up.
const longestHole = 5

// bridged gives a year's means with short holes filled; a longer one, and what
// comes after it, stays missing.
func (t *thermometer) bridged(year int) []float64 {
	raw, ok := t.years[year]
	if !ok {
		return missing(daysOfYear)
	}
	out := slices.Clone(raw)
	for i := 0; i < len(out); {
		if !math.IsNaN(out[i]) {
			i++
			continue
		}
		end := i
		for end < len(out) && math.IsNaN(out[end]) {
			end++
		}
		if end-i <= longestHole && i > 0 && end < len(out) {
			for k := i; k < end; k++ {
				w := float64(k-i+1) / float64(end-i+1)
				out[k] = out[i-1]*(1-w) + out[end]*w
			}
		}
		i = end
	}
	return out
}

// carried gives a year's means with each short hole filled by the last value
// before it, so that no day depends on a later one.
func (t *thermometer) carried(year int) []float64 {
	raw, ok := t.years[year]
	if !ok {
		return missing(daysOfYear)
	}
	out := slices.Clone(raw)
	hole := 0
	for i := 1; i < len(out); i++ {
		if !math.IsNaN(raw[i]) {
			hole = 0
			continue
		}
		if hole++; hole <= longestHole {
			out[i] = out[i-1]
		}
	}
	return out
}
