package feed

import (
	"regexp"
	"slices"
	"strconv"

	"budcall/internal/civil"
)

// parseDWDEras reads Metadaten_Parameter_klima_tag_*.txt: by period and
// parameter, semicolons, in the column Zusatz-Info which hours or which formula
// a value is of, in words such as "00:00 - 24:00 UTC gemessen", "21:30 VT. -
// 21:30 MEZ (bis 1986 MOZ)" (VT. is the day before, MEZ is CET, MOZ local mean
// time), "TMK=(TT1+TT2+(TT3*2))/4". A legend follows the rows.
func parseDWDEras(in *input, _ Options) (Batch, error) {
	c, err := openColumns(in, ';', "Von_Datum", "Bis_Datum", "Parameter", "Zusatz-Info")
	if err != nil {
		return Batch{}, err
	}
	var extremes []Era
	var means []Era
	var ignored rejectList // the legend and other parameters
	for c.next(&ignored, c.least("Von_Datum", "Bis_Datum", "Parameter", "Zusatz-Info")) {
		first, okFirst := compactDate(c.field("Von_Datum"))
		last, okLast := compactDate(c.field("Bis_Datum"))
		if !okFirst || !okLast || last < first {
			continue
		}
		e := Era{Days: civil.Range{First: first, Last: last}}
		switch c.field("Parameter") {
		case "TXK", "TNK":
			e.Said = c.field("Zusatz-Info")
			extremes = append(extremes, e)
		case "TMK":
			e.MeanRule = c.field("Zusatz-Info")
			means = append(means, e)
		}
	}
	if c.lines.err != nil {
		return Batch{}, c.lines.err
	}
	return Batch{Eras: dwdEras(extremes, means)}, nil
}

// dwdEras cuts the years at every change of either, and says for each piece
// what holds.
func dwdEras(extremes, means []Era) (eras []Era) {
	var cuts []civil.Date
	for _, e := range slices.Concat(extremes, means) {
		cuts = append(cuts, e.Days.First, e.Days.Last+1)
	}
	for _, e := range extremes {
		if m := dwdUntilLocal.FindStringSubmatch(e.Said); m != nil {
			year, _ := strconv.Atoi(m[1]) // four digits, by the form
			cuts = append(cuts, civil.Of(year+1, 1, 1))
		}
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	for i := 1; i < len(cuts); i++ {
		e := Era{Days: civil.Range{First: cuts[i-1], Last: cuts[i] - 1}}
		for _, x := range extremes {
			if x.Days.First <= e.Days.First && e.Days.Last <= x.Days.Last {
				e.Said = x.Said
				e.Window = dwdWindow(x.Said, e.Days)
			}
		}
		for _, m := range means {
			if m.Days.First <= e.Days.First && e.Days.Last <= m.Days.Last {
				e.MeanRule = m.MeanRule
			}
		}
		if e.Said != "" || e.MeanRule != "" {
			eras = append(eras, e)
		}
	}
	return eras
}

var (
	dwdHours      = regexp.MustCompile(`^(\d{2}):(\d{2}) ?(VT\.?)? ?- ?(\d{2}):(\d{2}) ?(FT\.?)? ?(UTC|MEZ|MOZ|GZ)?`)
	dwdUntilLocal = regexp.MustCompile(`\(bis (\d{4}) MOZ\)`)
)

// dwdWindow understands the words for the hours; what it doesn't is not
// stated.
func dwdWindow(said string, days civil.Range) Window {
	m := dwdHours.FindStringSubmatch(said)
	if m == nil {
		return Window{}
	}
	number := func(i int) int { n, _ := strconv.Atoi(m[i]); return n } // two digits, by the form
	w := Window{StartHour: number(1), StartMinute: number(2), EndHour: number(4), EndMinute: number(5), Label: LabelStart}
	switch m[7] {
	case "UTC":
		w.Zone = "UTC"
	case "MEZ":
		w.Zone = "UTC+01:00"
	case "MOZ":
		w.Zone = "local mean time"
	default: // legal time, or nothing said
		return Window{}
	}
	if m[3] != "" {
		w.Label = LabelEnd
	}
	if u := dwdUntilLocal.FindStringSubmatch(said); u != nil {
		if year, _ := strconv.Atoi(u[1]); days.Last.Year() <= year {
			w.Zone = "local mean time"
		}
	}
	return w
}
