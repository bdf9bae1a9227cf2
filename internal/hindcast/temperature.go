package hindcast

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"budcall/internal/weather"
)

// temperatureNames are by which names of a header the columns are known. A
// name without a unit is taken as °C.
var temperatureNames = map[string][]string{
	"date":   {"date", "day"},
	"min":    {"tmin_c", "min_c", "tmin", "tn"},
	"max":    {"tmax_c", "max_c", "tmax", "tx"},
	"mean":   {"tmean_c", "mean_c", "tavg_c", "tmean", "tavg", "tg"},
	"min_f":  {"tmin_f", "min_f"},
	"max_f":  {"tmax_f", "max_f"},
	"mean_f": {"tmean_f", "mean_f", "tavg_f"},
}

func temperatureColumns(header []string) (columns, error) {
	c := find(header, temperatureNames)
	if !c.has("date") {
		return nil, errors.New("line 1: no column is called date: give date,tmin_c,tmax_c,tmean_c")
	}
	if len(c) == 1 {
		return nil, errors.New("line 1: no column holds temperatures: give date,tmin_c,tmax_c,tmean_c, of which any two temperatures may be missing but the mean needs tmean_c, or tmin_c and tmax_c")
	}
	return c, nil
}

// ReadTemperatures reads daily temperatures, date,tmin_c,tmax_c,tmean_c in any
// order of columns, separated by commas, semicolons or tabs; empty is missing.
// Columns that are called tmin_f and so on are in °F and converted. Days are
// judged; a line that can't be read, or of a day that was there before, is
// refused, and what was marked is told.
func ReadTemperatures(r io.Reader) ([]weather.Day, []Refusal, error) {
	t, err := newRows(r)
	if err != nil {
		return nil, nil, err
	}
	c, err := temperatureColumns(t.header)
	if err != nil {
		return nil, nil, err
	}
	var lines []dayLine
	var refused []Refusal
	for {
		fields, line, broken, err := t.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, nil, fmt.Errorf("reading the lines: %w: see that the file can be read", err)
		}
		if broken != nil {
			refused = append(refused, *broken)
			continue
		}
		d, err := measured(t, c, fields)
		if err != nil {
			refused = append(refused, Refusal{Line: line, Reason: err.Error()})
			continue
		}
		lines = append(lines, dayLine{d, line})
	}
	lines, twice := sorted(lines)
	days, marked := judged(lines)
	return days, slices.Concat(refused, twice, marked), nil
}

func measured(t *rows, c columns, fields []string) (weather.Day, error) {
	date, err := parseDay(c.get(fields, "date"))
	if err != nil {
		return weather.Day{}, err
	}
	d := weather.Missing(date)
	for name, v := range map[string]*float64{"min": &d.MinC, "max": &d.MaxC, "mean": &d.MeanC} {
		text, inF := c.get(fields, name), false
		if text == "" {
			text, inF = c.get(fields, name+"_f"), true
		}
		if text == "" || text == "NA" || text == "NaN" {
			continue
		}
		if *v, err = t.number(text); err != nil || math.IsInf(*v, 0) {
			return weather.Day{}, fmt.Errorf("t%s of %s is %q: write a number, or nothing for missing", name, date, text)
		}
		if inF {
			*v = (*v - 32) / 1.8
		}
	}
	return d, nil
}
