package feed

import (
	"fmt"
	"math"
	"strings"
)

// ghcnCDO is the "custom text" that NOAA's Climate Data Online writes on
// order: columns of fixed width under a line of dashes, and no word of the
// unit, which is the order's: °F or °C. So the unit must be declared.
//
// Missing: -9999. Quality: flagged values aren't ordered with it. Day: the
// contributor's own, not in the file.
var ghcnCDO = Format{
	Name:  "ghcn-cdo",
	Brief: "NOAA Climate Data Online custom text: fixed columns, unit as ordered",
	Needs: []string{
		"unit: C or F, for the file doesn't say it",
		"station: the id, when the file holds several",
		"window: the hours of a day are the contributor's own and not in the file",
	},
	declares: []string{declaresUnit},
	parse:    parseGHCNCDO,
}

func parseGHCNCDO(in *input, opt Options) (Batch, error) {
	if opt.Unit != "C" && opt.Unit != "F" {
		return Batch{}, refuse("add unit: C or unit: F, whichever was ordered", "a custom text of Climate Data Online doesn't say its unit")
	}
	l := linesOf(in)
	at, header, err := cdoColumns(l)
	if err != nil {
		return Batch{}, err
	}
	g := cdoFile{at: at, unit: opt.Unit, station: onlyStation{wanted: opt.Station}}
	for !g.again.over && l.next() {
		switch text := l.text; {
		case strings.TrimSpace(text) == "" || strings.TrimRight(text, " ") == header[1]:
		case text == header[0], strings.HasPrefix(text, "STATION "), strings.HasPrefix(text, "---"):
			g.again.meet(l.number, text, text == header[0], &g.rejects)
		case !l.ended && len(text) < len(header[1]):
			g.rejects.add(l.number, text, insideLine)
		default:
			g.row(l.number, text)
		}
	}
	if l.err != nil {
		return Batch{}, l.err
	}
	station, err := g.stationRead(&g.station, "rows must stand under the line of dashes")
	if err != nil {
		return Batch{}, err
	}
	b := g.batch(opt)
	b.Station, b.Credit, b.MeanOf = station, ghcnCredit, meanOf(b.Days, MeanPublished)
	return b, nil
}

// span is where a column stands in a line, in bytes.
type span struct{ from, to int }

// cdoColumns reads the names and the dashes under them, which give the widths.
// header is those two lines.
func cdoColumns(l *lines) (columns map[string]span, header [2]string, err error) {
	names := ""
	for l.next() && l.number <= headerLines {
		if !strings.HasPrefix(l.text, "---") {
			names = l.text
			continue
		}
		at := map[string]span{}
		for from := 0; from < len(l.text); {
			to := from + len(l.text[from:]) - len(strings.TrimLeft(l.text[from:], "-"))
			at[strings.TrimSpace(clipSpan(names, span{from, to}))] = span{from, to}
			from = to + 1
		}
		_, station := at["STATION"]
		_, date := at["DATE"]
		if station && date {
			return at, [2]string{names, strings.TrimRight(l.text, " ")}, temperatureSpans(at, l.number)
		}
	}
	return nil, header, refuse("look whether this is the right format", "no header STATION … DATE with a line of dashes under it is found")
}

func temperatureSpans(at map[string]span, line int) error {
	var others []string
	for name := range at {
		if ghcnElement(name) >= 0 {
			return nil
		}
		if _, known := ghcnOtherElements[name]; known {
			others = append(others, name)
		}
	}
	return atLine(noTemperature(others, ghcnOtherElements, "TMAX and TMIN, or TAVG"), line)
}

// clipSpan gives what stands in a column, empty where the line is shorter.
func clipSpan(line string, s span) string {
	if s.from >= len(line) {
		return ""
	}
	return line[s.from:min(s.to, len(line))]
}

type cdoFile struct {
	collector
	at      map[string]span
	unit    string
	station onlyStation
	again   headerAgain
}

func (g *cdoFile) row(number int, text string) {
	field := func(name string) string { return strings.TrimSpace(clipSpan(text, g.at[name])) }
	date, ok := compactDate(field("DATE"))
	if !ok {
		g.rejects.add(number, text, fmt.Sprintf("%q is no date YYYYMMDD", shorten(field("DATE"))))
		return
	}
	if !g.station.is(strings.TrimPrefix(field("STATION"), "GHCND:")) {
		g.others++
		return
	}
	row := dayRow{line: number, text: text, date: date}
	for element, name := range ghcnElements {
		if _, there := g.at[name]; !there {
			continue
		}
		v, ok := parseNumber(field(name), '.')
		switch {
		case field(name) == "" || ok && v == -9999:
			v = math.NaN()
			row.missing++
		case !ok:
			g.rejects.add(number, text, fmt.Sprintf("%s %q is no number", name, shorten(field(name))))
			return
		case g.unit == "F":
			v = celsius(v)
		}
		row.values[element] = v
		row.has[element] = true
	}
	row.into(&g.collector, 0)
}
