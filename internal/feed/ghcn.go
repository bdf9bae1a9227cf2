package feed

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/binary"
	"fmt"
	"io"
	"math/bits"
	"slices"
	"strings"

	"budcall/internal/weather"
)

// ghcnDaily is NOAA's Global Historical Climatology Network daily, the .dly
// file: one record of 269 characters per station, month and element, 31
// values in tenths of °C with three flags each (its readme, version 3.22).
var ghcnDaily = Format{
	Name:  "ghcn-daily",
	Brief: "NOAA GHCN-Daily .dly: fixed columns, TMAX, TMIN and TAVG in tenths of °C",
	Needs: []string{
		"station: the 11-character GHCN id, when the file holds several",
		"window: the hours of a day are the contributor's own and not in the file",
	},
	parse: parseGHCN,
}

const (
	ghcnCredit   = "NOAA NCEI GHCN-Daily, doi:10.7289/V5D21VHZ, open data (cite Menne et al. 2012)"
	ghcnRecord   = 269
	ghcnFirstDay = 21 // where the value of day 1 begins; eight characters a day
)

// elements in the order of weather.Day's values.
var ghcnElements = [3]string{"TMIN", "TMAX", "TAVG"}

func parseGHCN(in *input, opt Options) (Batch, error) {
	g := ghcnFile{wanted: opt.Station, months: map[int]*ghcnMonth{}}
	for line := 1; ; line++ {
		record, err := in.ReadSlice('\n')
		for err == bufio.ErrBufferFull { // no record is that long: its beginning is rejected
			g.rejects.add(line, string(record[:ghcnRecord]), fmt.Sprintf("has more than %d characters, a GHCN-Daily record has %d", longestLine, ghcnRecord))
			for err == bufio.ErrBufferFull {
				_, err = in.ReadSlice('\n')
			}
			record = nil
		}
		ended := err == nil
		if n := len(record); n > 0 && record[n-1] == '\n' {
			record = record[:n-1]
			if n > 1 && record[n-2] == '\r' {
				record = record[:n-2]
			}
		}
		record = bytes.TrimPrefix(record, byteOrderMark)
		switch {
		case len(record) == 0:
		case !ended && len(record) < ghcnRecord:
			g.rejects.add(line, string(record), insideLine)
		default:
			g.record(line, record)
		}
		switch {
		case err == io.EOF:
			return g.batch(opt)
		case err != nil:
			return Batch{}, err
		}
	}
}

// ghcnFile gathers the records of one station.
type ghcnFile struct {
	wanted   string   // "" for the only one
	stations []string // all that were met, in order, at most a few
	latest   int      // which of them the last record was of
	months   map[int]*ghcnMonth
	recent   *ghcnMonth // records of a month stand together: no need to look it up
	rejects  rejectList
	missing  int
	others   int
	elements seen // other than temperatures
	winds    windByDay
	flags    map[string]int
}

// record reads one line that isn't empty.
func (g *ghcnFile) record(line int, r []byte) {
	if len(r) != ghcnRecord {
		g.rejects.add(line, string(r[:min(len(r), ghcnRecord)]), fmt.Sprintf("has %d characters, a GHCN-Daily record has %d", len(r), ghcnRecord))
		return
	}
	year, okYear := ghcnDigits(r[11:15])
	month, okMonth := ghcnDigits(r[15:17])
	if !okYear || !okMonth || year < 1 || month < 1 || month > 12 {
		g.rejects.add(line, string(r), "columns 12–17 hold no year and month")
		return
	}
	if !g.isWanted(r[:11]) {
		g.others++
		return
	}
	element := ghcnElementOf(r[17:21])
	if element < 0 {
		g.others++
		g.otherElement(r, year, month)
		return
	}
	g.values(ghcnLine{line: line, record: r, element: element}, g.month(year, month))
}

// ghcnElementOf gives the element of a day's value, or -1.
func ghcnElementOf(name []byte) int {
	switch string(name) {
	case "TMIN":
		return elementMin
	case "TMAX":
		return elementMax
	case "TAVG":
		return elementMean
	}
	return -1
}

// otherElement remembers the element for a refusal by name, and keeps winds
// that passed.
func (g *ghcnFile) otherElement(r []byte, year, month int) {
	name := r[17:21]
	if len(g.elements) == 0 || g.elements[len(g.elements)-1] != string(name) {
		g.elements.add(string(name))
	}
	switch string(name) {
	case "WSFG", "WSF5", "WSF2", "AWND":
	default:
		return
	}
	for day := range 31 {
		field := binary.LittleEndian.Uint64(r[ghcnFirstDay+8*day:])
		date, isDay := dateOf(year, month, day+1)
		v, ok := ghcnValue(field)
		if isDay && ok && ghcnPassed(field) && field&ghcnValueBits != ghcnMissing {
			g.winds.take(date, string(name), float64(v)/10)
		}
	}
}

// isWanted tells whether the record is of the station asked for and remembers
// which others there are.
func (g *ghcnFile) isWanted(id []byte) bool {
	if len(g.stations) > 0 && g.stations[g.latest] == string(id) { // the usual case
		return g.wanted == "" && g.latest == 0 || g.wanted == string(id)
	}
	known := false
	for i, s := range g.stations {
		if s == string(id) {
			known, g.latest = true, i
		}
	}
	if !known && len(g.stations) < 8 {
		g.latest = len(g.stations)
		g.stations = append(g.stations, string(id))
	}
	if g.wanted == "" {
		return g.stations[0] == string(id)
	}
	return g.wanted == string(id)
}

// month finds the month's table or makes it.
func (g *ghcnFile) month(year, month int) *ghcnMonth {
	key := year*12 + month - 1
	if g.recent != nil && g.recent.key == key {
		return g.recent
	}
	m := g.months[key]
	if m == nil {
		m = newGHCNMonth(key)
		g.months[key] = m
	}
	g.recent = m
	return m
}

// ghcnLine is one record of a temperature.
type ghcnLine struct {
	line    int
	record  []byte
	element int
}

func (l ghcnLine) field(day int) []byte {
	return l.record[ghcnFirstDay+8*day : ghcnFirstDay+8*day+8]
}

// values stores the 31 values of a record. What is good and new is stored
// here; everything else goes the slow way.
func (g *ghcnFile) values(l ghcnLine, m *ghcnMonth) {
	repeated := m.lines[l.element] != 0
	tenths := &m.tenths[l.element]
	fields := (*[8 * 31]byte)(l.record[ghcnFirstDay:])
	same, missing := 0, 0
	for day := range 31 {
		word := binary.LittleEndian.Uint64(fields[8*day : 8*day+8])
		if word&ghcnValueBits == ghcnMissing {
			missing++
			continue
		}
		value, ok := ghcnValue(word)
		switch {
		case !ok || day >= m.days || !ghcnPassed(word):
			g.odd(l, m, day)
		case tenths[day] == ghcnNone:
			tenths[day] = value
		case tenths[day] == value:
			same++
		default:
			g.odd(l, m, day)
		}
	}
	g.missing += missing - (31 - m.days)
	for day := m.days; day < 31; day++ {
		if binary.LittleEndian.Uint64(fields[8*day:])&ghcnValueBits != ghcnMissing {
			g.missing++ // it wasn't counted above
		}
	}
	named := uint32(1)<<m.days - 1
	m.named |= named
	if same > 0 {
		g.rejects.add(l.line, string(l.record), fmt.Sprintf("repeats line %d: %d equal values kept once", m.lines[l.element], same))
	}
	if !repeated {
		m.lines[l.element] = l.line
	}
}

// odd rejects a value that can't be taken, or marks the day on which it says
// otherwise than another record.
func (g *ghcnFile) odd(l ghcnLine, m *ghcnMonth, day int) {
	reason := l.fault(day, m)
	if flag := l.field(day)[6]; flag != ' ' && day < m.days {
		g.flag(ghcnElements[l.element] + " q=" + shorten(string(flag)))
	}
	if reason == "" {
		m.conflict |= 1 << day
		reason = fmt.Sprintf("says otherwise than line %d: neither is used (%s)", m.lines[l.element], weather.Conflict)
	}
	g.rejects.add(l.line, l.describe(day, m), reason)
}

// flag counts a quality code.
func (g *ghcnFile) flag(code string) {
	if g.flags == nil {
		g.flags = map[string]int{}
	}
	g.flags[code]++
}

// fault says why a value that isn't the missing one can't be taken.
func (l ghcnLine) fault(day int, m *ghcnMonth) string {
	_, isNumber := ghcnValue(binary.LittleEndian.Uint64(l.field(day)))
	switch flag := l.field(day)[6]; {
	case day >= m.days:
		return fmt.Sprintf("the month has %d days", m.days)
	case !isNumber:
		return "is no whole number set to the right"
	case flag != ' ':
		return fmt.Sprintf("failed the provider's quality check (flag %c)", flag)
	}
	return ""
}

// describe names a value for a reject.
func (l ghcnLine) describe(day int, m *ghcnMonth) string {
	return fmt.Sprintf("%04d-%02d-%02d %s %s", m.key/12, m.key%12+1, day+1, ghcnElements[l.element], bytes.TrimSpace(l.field(day)))
}

func (g *ghcnFile) batch(opt Options) (Batch, error) {
	if opt.Station == "" && len(g.stations) > 1 {
		return Batch{}, refuse("name one as station", "the file holds several stations: %s", strings.Join(g.stations, ", "))
	}
	if len(g.months) == 0 {
		if len(g.stations) > 0 && opt.Station != "" && !slices.Contains(g.stations, opt.Station) {
			return Batch{}, refuse("correct the station or the file", "no record is of station %s; the file holds %s", opt.Station, strings.Join(g.stations, ", "))
		}
		if len(g.elements) > 0 {
			return Batch{}, noTemperature(g.elements, ghcnOtherElements, "TMAX and TMIN, or TAVG")
		}
		return Batch{}, g.rejects.nothingRead("it must hold TMAX and TMIN, or TAVG, in records of 269 characters")
	}
	b := Batch{
		Station: opt.Station, Days: g.days(), Winds: g.winds.list(), MissingValues: g.missing, OtherRecords: g.others, Flags: g.flags,
		Rejects: g.rejects.listed, MoreRejects: g.rejects.more,
		Window: opt.Window, Credit: ghcnCredit, Place: nowhere(),
	}
	b.MeanOf = meanOf(b.Days, MeanPublished)
	if b.Station == "" {
		b.Station = g.stations[0]
	}
	return b, nil
}

// days lays the months out in order, in one table of the right size.
func (g *ghcnFile) days() []weather.Day {
	months := make([]*ghcnMonth, 0, len(g.months))
	named := 0
	for _, m := range g.months {
		months = append(months, m)
		named += bits.OnesCount32(m.named)
	}
	slices.SortFunc(months, func(a, b *ghcnMonth) int { return cmp.Compare(a.key, b.key) })
	days := make([]weather.Day, named)
	rest := days
	for _, m := range months {
		rest = rest[m.fill(rest):]
	}
	return days
}
