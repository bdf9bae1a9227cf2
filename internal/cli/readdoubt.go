package cli

import (
	"fmt"
	"io"
	"math"
	"slices"
	"time"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

// nothingTaken tells a file of which every value was refused from one that
// has none.
func nothingTaken(b feed.Batch, files []readFile) bool {
	rejects := 0
	for _, f := range files {
		rejects += len(f.batch.Rejects) + f.batch.MoreRejects
	}
	usable := func(d weather.Day) bool {
		return d.Mark == weather.Usable && !(math.IsNaN(d.MinC) && math.IsNaN(d.MaxC) && math.IsNaN(d.MeanC))
	}
	read := func(r feed.Reading) bool {
		return !(math.IsNaN(r.TempC) && math.IsNaN(r.MinC) && math.IsNaN(r.MaxC))
	}
	return rejects > 0 && len(b.Stations) == 0 && len(b.Winds) == 0 && !slices.ContainsFunc(b.Days, usable) && !slices.ContainsFunc(b.Readings, read)
}

// sayImpossible tells in one line of values that can't be: how many, and the
// first of them. They are printed as the file has them.
func sayImpossible(w io.Writer, name, format string, b feed.Batch) {
	days, suspicion := weather.JudgeAll(b.Days)
	if suspicion != "" {
		cure := "the format has a unit of its own: compare a day with what the provider shows"
		if takesUnit(format) {
			cure = "if so, give --unit F"
		}
		fmt.Fprintf(w, "%s: %s by a programme (%s)\n", name, suspicion, cure)
		return
	}
	count, first := 0, ""
	for i, d := range days {
		if d.Mark == b.Days[i].Mark {
			continue
		}
		if count++; count == 1 {
			first = fmt.Sprintf("%s: %s, %s", d.Date, d.Mark, temperatures(d.MinC, d.MaxC, d.MeanC))
		}
	}
	if len(days) == 0 {
		count, first = impossibleReadings(b.Readings)
	}
	if count > 0 {
		fmt.Fprintf(w, "%s: %s can't be, so no programme uses %s; the first is of %s\n", name, counted(count, "reading"), itOrThem(count), first)
	}
}

// impossibleReadings counts readings that can't be, where no days are made.
func impossibleReadings(readings []feed.Reading) (count int, first string) {
	for _, r := range readings {
		d := weather.Judge(weather.Day{MinC: r.MinC, MaxC: r.MaxC, MeanC: r.TempC})
		if d.Mark == weather.Usable {
			continue
		}
		if count++; count == 1 {
			first = fmt.Sprintf("%s: %s, %s", r.At.UTC().Format(time.RFC3339), d.Mark, temperatures(r.MinC, r.MaxC, r.TempC))
		}
	}
	return count, first
}

func itOrThem(n int) string {
	if n == 1 {
		return "it"
	}
	return "them"
}

// temperatures writes those that are there: minimum 12.0, maximum 9.0 °C.
func temperatures(minC, maxC, meanC float64) (text string) {
	for _, v := range []struct {
		name string
		c    float64
	}{{"minimum", minC}, {"maximum", maxC}, {"mean", meanC}} {
		if !math.IsNaN(v.c) {
			text += fmt.Sprintf("%s %.1f, ", v.name, v.c)
		}
	}
	return text[:max(0, len(text)-2)] + " °C"
}

// takesUnit tells the formats whose files may leave their unit out.
func takesUnit(format string) bool {
	return slices.Contains([]string{"delimited", "logger", "ghcn-cdo"}, format)
}
