package cli

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

// print writes what was asked for as CSV.
func (r *readFlags) print(w io.Writer, format feed.Format, b feed.Batch) error {
	out := bufio.NewWriter(w)
	switch {
	case format.List:
		printStations(out, b.Stations)
	case r.readings:
		printReadings(out, b.Readings)
	case r.winds:
		fmt.Fprintln(out, "date,mean_ms,max_ms,gust_ms")
		for _, d := range b.Winds {
			printRow(out, d.Date.String(), d.MeanMS, d.MaxMS, d.GustMS)
		}
	default:
		fmt.Fprintln(out, "date,tmin_c,tmax_c,tmean_c")
		for _, d := range b.Days {
			if d.Mark != weather.Usable { // kept for programs, not to be used
				d = weather.Missing(d.Date)
			}
			printRow(out, d.Date.String(), d.MinC, d.MaxC, d.MeanC)
		}
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("writing the answer: %w", err)
	}
	return nil
}

// printRow writes a name and values; missing ones are empty. Its errors come
// at the flush.
func printRow(out *bufio.Writer, name string, values ...float64) {
	out.WriteString(name)
	for _, v := range values {
		out.WriteByte(',')
		out.WriteString(orEmpty(v))
	}
	out.WriteByte('\n')
}

func orEmpty(v float64) string {
	if math.IsNaN(v) {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func printReadings(out *bufio.Writer, readings []feed.Reading) {
	fmt.Fprintln(out, "time,temp_c,tmin_c,tmax_c")
	for _, r := range readings {
		printRow(out, r.At.UTC().Format(time.RFC3339), r.TempC, r.MinC, r.MaxC)
	}
}

func printStations(out *bufio.Writer, stations []feed.StationEntry) {
	c := csv.NewWriter(out)
	c.Write([]string{"id", "name", "region", "latitude_deg", "longitude_deg", "altitude_m", "first", "last"})
	for _, s := range stations {
		c.Write([]string{s.ID, s.Name, s.Region, orEmpty(s.Place.LatitudeDeg), orEmpty(s.Place.LongitudeDeg), orEmpty(s.Place.AltitudeM), dateOrEmpty(s.First.String()), dateOrEmpty(s.Last.String())})
	}
	c.Flush()
}

func dateOrEmpty(text string) string { return strings.TrimPrefix(text, "-") }

// sayBatch tells what was not taken, and counts.
func sayBatch(w io.Writer, name string, b feed.Batch, files []readFile) {
	for _, f := range files {
		sayRejects(w, f.name, f.batch)
		for _, p := range f.batch.Partial {
			fmt.Fprintf(w, "%s:%d: %s: %s\n", f.name, p.Line, p.Text, p.Reason)
		}
	}
	for _, n := range b.Notes {
		fmt.Fprintf(w, "%s: %s\n", name, n)
	}
	for _, e := range b.Eras {
		fmt.Fprintf(w, "%s: %s: a day is %s (%q); its mean: %q\n", name, e.Days, e.Window, e.Said, e.MeanRule)
	}
	fmt.Fprintf(w, "%s: %s\n", name, strings.Join(countsOf(b, files), ", "))
}

// countsOf gives the counts as people read them.
func countsOf(b feed.Batch, files []readFile) []string {
	rejects := 0
	for _, f := range files {
		rejects += len(f.batch.Rejects) + f.batch.MoreRejects
	}
	var out []string
	if b.Station != "" {
		out = append(out, "station "+b.Station)
	}
	if len(b.Stations) > 0 {
		out = append(out, counted(len(b.Stations), "station"))
	} else {
		out = append(out, counted(len(b.Days), "day"))
	}
	if len(b.Days) > 0 {
		out[len(out)-1] += fmt.Sprintf(" from %s to %s", b.Days[0].Date, b.Days[len(b.Days)-1].Date)
	}
	if len(b.Readings) > 0 {
		out = append(out, counted(len(b.Readings), "reading"))
	}
	if len(b.Winds) > 0 {
		out = append(out, "wind of "+counted(len(b.Winds), "day"))
	}
	out = append(out, counted(b.MissingValues, "missing value"), fmt.Sprintf("%d not taken", rejects), counted(b.OtherRecords, "other record"))
	for _, code := range slices.Sorted(maps.Keys(b.Flags)) {
		out = append(out, fmt.Sprintf("%s: %d", code, b.Flags[code]))
	}
	if len(b.Days) > 0 {
		out = append(out, "a day is "+b.Window.String())
	}
	if b.MeanOf != "" {
		out = append(out, "the mean is "+meanWords(b.MeanOf))
	}
	if b.Credit != "" {
		out = append(out, b.Credit)
	}
	return out
}

// meanWords says how a daily mean came about, after "the mean is".
func meanWords(of feed.MeanOf) string {
	if of == feed.MeanReadings {
		return "that of the readings"
	}
	return string(of)
}
