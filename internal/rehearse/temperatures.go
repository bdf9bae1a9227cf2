package rehearse

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"budcall/internal/civil"
)

// Station is a thermometer and what it read.
type Station struct {
	Name        string
	LatitudeDeg float64           // north positive; NaN: not known
	Means       map[int][]float64 // year to daily means in °C from 1 January; NaN: missing
}

// maxMissing is how many days a year may lack, 1 January to 31 October, to
// serve as a hidden season: beyond that the truth would be made up.
const maxMissing = 20

// ReadTemperatures reads a CSV file with a heading that has at least the
// columns date and tmean_c, or tmin_c and tmax_c, in any order; other columns
// are passed over. An empty field is missing. Where there is no mean, (tmin +
// tmax)/2 stands for it. name is the file's, for errors, which say line and
// column.
func ReadTemperatures(name string, r io.Reader) (map[int][]float64, error) {
	rows := csv.NewReader(r)
	rows.ReuseRecord = true
	head, err := rows.Read()
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w: give daily temperatures with the heading date,tmin_c,tmax_c,tmean_c", name, err)
	}
	at := map[string]int{}
	for i, h := range head {
		at[strings.ToLower(strings.TrimSpace(strings.TrimPrefix(h, "\ufeff")))] = i
	}
	_, date := at["date"]
	_, mean := at["tmean_c"]
	_, low := at["tmin_c"]
	_, high := at["tmax_c"]
	if !date || !mean && !(low && high) {
		return nil, fmt.Errorf("%s:1: the heading lacks date, or tmean_c (or tmin_c and tmax_c): name the columns so", name)
	}
	years := map[int][]float64{}
	for {
		row, err := rows.Read()
		if errors.Is(err, io.EOF) {
			return years, nil
		}
		if err != nil {
			return nil, fmt.Errorf("reading %s: %w: mend or drop the line", name, err)
		}
		line, _ := rows.FieldPos(0)
		if err := addRow(years, at, row); err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, line, err)
		}
	}
}

// addRow puts one day into its year.
func addRow(years map[int][]float64, at map[string]int, row []string) error {
	day, err := civil.Parse(strings.TrimSpace(row[at["date"]]))
	if err != nil {
		return fmt.Errorf("date: %w: write it YYYY-MM-DD", err)
	}
	value := func(column string) (float64, error) {
		i, ok := at[column]
		if !ok || strings.TrimSpace(row[i]) == "" {
			return math.NaN(), nil
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(row[i]), 64)
		if err != nil || !(math.Abs(v) <= 60) {
			return 0, fmt.Errorf("%s: %q is no air temperature in °C: give a number from -60 to 60, or nothing for missing", column, row[i])
		}
		return v, nil
	}
	mean, err1 := value("tmean_c")
	low, err2 := value("tmin_c")
	high, err3 := value("tmax_c")
	if err := errors.Join(err1, err2, err3); err != nil {
		return err
	}
	if math.IsNaN(mean) {
		mean = (low + high) / 2
	}
	year := years[day.Year()]
	for len(year) < day.YearDay()-1 {
		year = append(year, math.NaN())
	}
	if len(year) >= day.YearDay() {
		return fmt.Errorf("date: %s stands twice or out of order: sort the file by date, each once", day)
	}
	years[day.Year()] = append(year, mean)
	return nil
}

// bridged gives a year's temperatures, at least to 31 October, with gaps
// bridged by a straight line: the truth has no holes. An error says why the
// year can't serve.
func bridged(means []float64, days int) ([]float64, error) {
	missing := max(0, days-len(means))
	for _, v := range means[:min(days, len(means))] {
		if math.IsNaN(v) {
			missing++
		}
	}
	if missing == days {
		return nil, errors.New("no temperatures")
	}
	if missing > maxMissing {
		return nil, fmt.Errorf("%d of the days to 31 October are missing, more than %d", missing, maxMissing)
	}
	out := make([]float64, max(days, len(means)))
	last := -1
	for i := range out {
		if i >= len(means) || math.IsNaN(means[i]) {
			continue
		}
		out[i] = means[i]
		for j := last + 1; j < i; j++ {
			out[j] = means[i]
			if last >= 0 {
				out[j] = means[last] + (means[i]-means[last])*float64(j-last)/float64(i-last)
			}
		}
		last = i
	}
	for j := last + 1; j < len(out); j++ {
		out[j] = out[last]
	}
	return out, nil
}

// climate gives the mean of each day, over a window of 15 days, from the years
// up to 30 before and after one, but without it: what a keeper of records knows
// of a season's days, and nothing of that season.
func (st Station) climate(but int) []float64 {
	const days, half, reach = 366, 7, 30
	var sum, n [days]float64
	for year := but - reach; year <= but+reach; year++ { // not by map order: sums must come out alike
		if year == but {
			continue
		}
		for i, v := range st.Means[year] {
			if !math.IsNaN(v) {
				sum[i] += v
				n[i]++
			}
		}
	}
	out := make([]float64, days)
	for i := range out {
		var s, c float64
		for j := i - half; j <= i+half; j++ {
			k := (j + days) % days
			s, c = s+sum[k], c+n[k]
		}
		out[i] = s / c // NaN with no other year: the last reading then stands
	}
	return out
}
