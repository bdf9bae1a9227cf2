package feed_test

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

// lineChecks are the forms of lines in EXPECTED.txt.
var lineChecks = []lineCheck{
	{"dwd-cdc-kl/*", `station (\d+); (\d+) days (\d+)\.\.(\d+), (\d+) breaks in the dates; -999: (\{.*?\}); sum TMK ([\d.]+); QN_4 (\{.*?\}); first TMK/TXK/TNK (\S+), last (\S+)`, checkDWD},
	{"dwd-mosmix/*", `(\d+) time steps (\S+)\.\.(\S+); elements (\{.*\}) non-missing; TTT first ([\d.]+) K last ([\d.]+) K; TX at (\[.*\]) UTC`, checkMosmix},
	{"eccc-daily/*", `(\d+) days (\S+)\.\.(\S+); blank max/min/mean (\d+)/(\d+)/(\d+); sum of means ([\d.]+)`, checkECCC},
	{"fmi-wfs/*simple*", `FeatureCollection numberReturned=(\d+); (\d+) BsWfsElement; per parameter (\{.*?\}); NaN (\{.*\})`, checkFMISimple},
	{"fmi-wfs/*", `multipointcoverage numberReturned=(\d+); (\d+) positions \(lat lon epoch\), (\d+) fields \[(.*)\]\.\., (\d+) values, NaN (\d+); first epoch (\d+), last (\d+)`, checkFMICoverage},
	{"fmi-wfs/ef_stations_excerpt.xml", `root FeatureCollection, numberReturned=(\d+)`, func(t *testing.T, l expectedLine) {
		notes(t, parse(t, "fmi-stations", l.body, feed.Options{}), "announces "+l.m[1]+" stations")
	}},
	{"fmi-wfs/empty_unknown_station.xml", `root FeatureCollection, numberReturned=(\d+)`, func(t *testing.T, l expectedLine) {
		refused(t, "empty", "fmi", string(l.body), feed.Options{}, "empty (numberReturned "+l.m[1]+")")
	}},
	{"fmi-wfs/*", `ExceptionReport, code (\w+), first text '(.*)'`, func(t *testing.T, l expectedLine) {
		refused(t, "exception", "fmi", string(l.body), feed.Options{}, l.m[1]+": "+l.m[2])
	}},
	{"fmi-wfs/*", `root (\w+), numberReturned=None`, func(t *testing.T, l expectedLine) {
		refused(t, "something else", "fmi", string(l.body), feed.Options{}, l.m[1])
		if bytes.Contains(l.body, []byte("numberReturned")) {
			t.Error("it has a numberReturned")
		}
	}},
	{"ghcn-daily/*.dly", `(\d+) records, all 269 characters: True; values (\{.*?\}), missing \(within the month\) (\{.*?\}), sums in tenths (\{.*?\}); quality-flagged (\{.*?\}); measurement flags (\{.*?\}); examples \['(.*)', '(.*)', '(.*)'\]`, checkDly},
	{"ghcn-daily/cdo_*", `(\d+) days (\d+)\.\.(\d+); -9999 in TAVG/TMAX/TMIN (\d+)/(\d+)/(\d+); degrees (F)`, checkCDO},
	{"knmi-etmgeg/*", `station (\d+); (\d+) days (\d+)\.\.(\d+); blank TG (\d+), TN (\d+), TX (\d+); sums in 0\.1 C TG (\d+) TN (\d+) TX (\d+)`, checkKNMI},
	{"logger-csv/*", `(\d+) lines; BOM (True|False); CRLF (True|False); first data line '(.*)'`, checkLogger},
	{"metno-frost/observations*", `(\w+), totalItemCount (\d+), data items (\d+)`, checkFrost},
	{"metno-frost/sources*", `(\w+), totalItemCount (\d+), data items (\d+)`, func(t *testing.T, l expectedLine) {
		b := parse(t, "frost-stations", l.body, feed.Options{})
		l.is(t, "items", 3, len(b.Stations))
		if l.m[1] != "SourceResponse" || l.m[2] != l.m[3] || len(b.Notes) != 0 { // a list shorter than announced is noted
			t.Error(l.m, b.Notes)
		}
	}},
	{"metno-locationforecast/*", `(\d+) time steps (\S+)\.\.(\S+), step hours (\{.*\}); air_temperature first (\S+) last (\S+) sum (\S+); next_6_hours with max/min (\d+)`, func(t *testing.T, l expectedLine) {
		checkSteps(t, l, parse(t, "metno", l.body, feed.Options{ReadingsOnly: true}))
		minima, maxima, err := feed.MetnoExtremes(l.body)
		if l.is(t, "six hours with extremes", 8, minima); minima != maxima || err != nil {
			t.Error(minima, maxima, err)
		}
	}},
	{"open-meteo/error_*", `error, reason '(.*)'`, func(t *testing.T, l expectedLine) {
		refused(t, "error", "open-meteo", string(l.body), feed.Options{Zone: time.UTC}, l.m[1])
	}},
	{"open-meteo/*", `daily (\S+)\.\.(\S+), keys \[(.*)\], unit \{(.*)\}, tz (\S+) offset (-?\d+)`, checkOpenMeteo},
	{"smhi-forecast/RETIRED*", `(\d+) time steps (\S+)\.\.(\S+), step hours (\{.*\}); temperature first (\S+) last (\S+) sum (\S+)`, func(t *testing.T, l expectedLine) {
		refused(t, "retired", "smhi-forecast", string(l.body), feed.Options{Zone: time.UTC}, "pmp3g version 2, which was switched off on 2026-03-31")
		l.is(t, "steps, counted in the text", 1, bytes.Count(l.body, []byte(`"validTime"`)))
	}},
	{"smhi-forecast/*", `(\d+) time steps (\S+)\.\.(\S+), step hours (\{.*\}); temperature first (\S+) last (\S+) sum (\S+)`, func(t *testing.T, l expectedLine) {
		checkSteps(t, l, parse(t, "smhi-forecast", l.body, feed.Options{ReadingsOnly: true}))
	}},
	{"smhi-metobs/param1_*", `no daily rows \((\d+) lines\)`, func(t *testing.T, l expectedLine) {
		if b := parse(t, "smhi-metobs", l.body, feed.Options{ReadingsOnly: true}); len(b.Days) != 0 {
			t.Error(b.Days)
		}
		l.is(t, "lines", 1, lineCount(l.body))
	}},
	{"smhi-metobs/*", `no daily rows \((\d+) lines\)`, func(t *testing.T, l expectedLine) {
		refused(t, "no rows", "smhi-metobs", string(l.body), feed.Options{}, "holds no value")
		l.is(t, "lines", 1, lineCount(l.body))
	}},
	{"smhi-metobs/*", `(\d+) days (\S+)\.\.(\S+) \((\d+) days absent in between, (\d+) breaks\); quality (\{.*\}); sum (\S+)`, checkSMHI},
}

// lineCount counts lines, the last with or without an end.
func lineCount(body []byte) int {
	return len(strings.Split(strings.TrimRight(string(body), "\r\n"), "\n"))
}

func compact(d weather.Day) string { return strings.ReplaceAll(d.Date.String(), "-", "") }

func checkDWD(t *testing.T, l expectedLine) {
	b := parse(t, "dwd-daily", l.body, feed.Options{})
	count, sum := sums(b.Days)
	first, last := b.Days[0], b.Days[len(b.Days)-1]
	l.is(t, "the station", 1, b.Station)
	l.is(t, "days", 2, len(b.Days))
	l.is(t, "the first day", 3, compact(first))
	l.is(t, "the last day", 4, compact(last))
	l.is(t, "breaks", 5, breaks(b.Days))
	n := len(b.Days)
	l.counts(t, "missing values", 6, map[string]int{"TMK": n - count[2], "TXK": n - count[1], "TNK": n - count[0]})
	l.sum(t, "the sum of TMK", 7, sum[2])
	flags := map[string]int{}
	for flag, n := range b.Flags {
		flags[strings.TrimPrefix(flag, "QN_4 ")] = n
	}
	l.counts(t, "QN_4", 8, flags)
	l.is(t, "the first values", 9, fmt.Sprintf("%.1f/%.1f/%.1f", first.MeanC, first.MaxC, first.MinC))
	l.is(t, "the last values", 10, fmt.Sprintf("%.1f/%.1f/%.1f", last.MeanC, last.MaxC, last.MinC))
}

func checkMosmix(t *testing.T, l expectedLine) {
	b := parse(t, "mosmix", l.body, feed.Options{ReadingsOnly: true})
	const milli = "2006-01-02T15:04:05.000Z"
	n := len(b.Readings)
	l.is(t, "time steps", 1, n)
	l.is(t, "the first", 2, b.Readings[0].At.UTC().Format(milli))
	l.is(t, "the last", 3, b.Readings[n-1].At.UTC().Format(milli))
	l.sum(t, "the first TTT", 5, b.Readings[0].TempC+273.15)
	l.sum(t, "the last TTT", 6, b.Readings[n-1].TempC+273.15)
	// The other elements aren't read; they are counted in the text.
	elements, at := map[string]int{}, map[string]bool{}
	steps := regexp.MustCompile(`<dwd:TimeStep>(\S+?)</dwd:TimeStep>`).FindAllSubmatch(l.body, -1)
	for _, m := range regexp.MustCompile(`(?s)elementName="(\w+)">\s*<dwd:value>(.*?)</dwd:value>`).FindAllSubmatch(l.body, -1) {
		for i, v := range strings.Fields(string(m[2])) {
			if v == "-" {
				continue
			}
			elements[string(m[1])]++
			if string(m[1]) == "TX" {
				at["'"+string(steps[i][1][11:16])+"'"] = true
			}
		}
	}
	l.counts(t, "elements", 4, elements)
	minima, maxima, err := feed.MosmixExtremes(l.body)
	if err != nil || minima != elements["TN"] || maxima != elements["TX"] {
		t.Errorf("TN %d, TX %d, %v", minima, maxima, err)
	}
	l.is(t, "the hours of TX", 7, "["+strings.Join(sortedKeysOf(at), ", ")+"]")
}

func sortedKeysOf(m map[string]bool) (keys []string) {
	for _, k := range []string{"'00:00'", "'03:00'", "'06:00'", "'09:00'", "'12:00'", "'15:00'", "'18:00'", "'21:00'"} {
		if m[k] {
			keys = append(keys, k)
		}
	}
	return keys
}

func checkECCC(t *testing.T, l expectedLine) {
	b := parse(t, "eccc", l.body, feed.Options{})
	count, sum := sums(b.Days)
	n := len(b.Days)
	l.is(t, "days", 1, n)
	l.is(t, "the first", 2, b.Days[0].Date)
	l.is(t, "the last", 3, b.Days[n-1].Date)
	for group, element := range map[int]int{4: 1, 5: 0, 6: 2} {
		l.is(t, "blanks", group, n-count[element])
	}
	l.sum(t, "the sum of means", 7, sum[2])
}

func checkDly(t *testing.T, l expectedLine) {
	b := parse(t, "ghcn-daily", l.body, feed.Options{})
	l.is(t, "records", 1, bytes.Count(l.body, []byte("\n")))
	count, sum := sums(b.Days)
	flagged := map[string]int{}
	examples := map[string]bool{}
	for _, r := range b.Rejects { // a flagged value is told, not used: counted back
		var date, element, marks string
		var tenths float64
		fmt.Sscan(r.Text, &date, &element, &tenths, &marks)
		i := map[string]int{"TMIN": 0, "TMAX": 1}[element]
		count[i]++
		sum[i] += tenths / 10
		flagged[element+":"+marks[:1]]++
		examples[fmt.Sprintf("%s %s %.0f q=%s", date, element, tenths, marks[:1])] = true
	}
	values, missing, tenths := countsIn(l.m[2]), countsIn(l.m[3]), countsIn(l.m[4])
	for i, element := range []string{"TMIN", "TMAX"} {
		if count[i] != values[element] || int(math.Round(sum[i]*10)) != tenths[element] {
			t.Errorf("EXPECTED.txt:%d: %s: %d values of %.0f tenths, not %d of %d", l.number, element, count[i], sum[i]*10, values[element], tenths[element])
		}
	}
	if b.MissingValues != missing["TMIN"]+missing["TMAX"] {
		t.Errorf("EXPECTED.txt:%d: %d missing, not %v", l.number, b.MissingValues, missing)
	}
	// TOBS is no temperature of a day, and PRCP none at all: of these the text is counted.
	raw := countDly(l.body)
	for element, n := range values {
		if raw.values[element] != n || raw.tenths[element] != tenths[element] || raw.missing[element] != missing[element] {
			t.Errorf("EXPECTED.txt:%d: %s in the text: %d of %d, %d missing", l.number, element, raw.values[element], raw.tenths[element], raw.missing[element])
		}
	}
	wanted := countsIn(l.m[5])
	for flag, n := range wanted {
		if strings.HasPrefix(flag, "TOBS") {
			flagged[flag] = raw.flagged[flag]
		}
		if flagged[flag] != n {
			t.Errorf("EXPECTED.txt:%d: %s %d times, not %d", l.number, flag, flagged[flag], n)
		}
	}
	l.counts(t, "measurement flags", 6, raw.measured)
	for _, example := range l.m[7:10] {
		if !strings.Contains(example, " TOBS ") && !examples[example] {
			t.Errorf("EXPECTED.txt:%d: %q isn't among those that are told", l.number, example)
		}
	}
}

// dlyCounts is what of a file of .dly is counted by its columns alone.
type dlyCounts struct{ values, tenths, missing, flagged, measured map[string]int }

func countDly(body []byte) dlyCounts {
	c := dlyCounts{map[string]int{}, map[string]int{}, map[string]int{}, map[string]int{}, map[string]int{}}
	for line := range strings.Lines(string(body)) {
		var year, month int
		fmt.Sscanf(line[11:17], "%4d%2d", &year, &month)
		element := line[17:21]
		for d := range time.Date(year, time.Month(month)+1, 0, 0, 0, 0, 0, time.UTC).Day() {
			at := line[21+8*d : 29+8*d]
			var v int
			fmt.Sscan(at[:5], &v)
			if v == -9999 {
				c.missing[element]++
				continue
			}
			c.values[element]++
			c.tenths[element] += v
			if at[6] != ' ' {
				c.flagged[element+":"+at[6:7]]++
			}
			if at[5] != ' ' {
				c.measured[element+":"+at[5:6]]++
			}
		}
	}
	return c
}

func checkCDO(t *testing.T, l expectedLine) {
	b := parse(t, "ghcn-cdo", l.body, feed.Options{Unit: l.m[7]})
	count, _ := sums(b.Days)
	n := len(b.Days)
	l.is(t, "days", 1, n)
	l.is(t, "the first", 2, compact(b.Days[0]))
	l.is(t, "the last", 3, compact(b.Days[n-1]))
	for group, element := range map[int]int{4: 2, 5: 1, 6: 0} {
		l.is(t, "missing values", group, n-count[element])
	}
	refused(t, "without a unit", "ghcn-cdo", string(l.body), feed.Options{}, "unit")
}

func checkKNMI(t *testing.T, l expectedLine) {
	b := parse(t, "knmi", l.body, feed.Options{})
	count, sum := sums(b.Days)
	n := len(b.Days)
	l.is(t, "the station", 1, b.Station)
	l.is(t, "days", 2, n)
	l.is(t, "the first", 3, compact(b.Days[0]))
	l.is(t, "the last", 4, compact(b.Days[n-1]))
	for i, element := range []int{2, 0, 1} {
		l.is(t, "blanks", 5+i, n-count[element])
		l.sum(t, "a sum", 8+i, sum[element]*10)
	}
}

func checkSMHI(t *testing.T, l expectedLine) {
	b := parse(t, "smhi-metobs", l.body, feed.Options{})
	_, sum := sums(b.Days)
	n := len(b.Days)
	l.is(t, "days", 1, n)
	l.is(t, "the first", 2, b.Days[0].Date)
	l.is(t, "the last", 3, b.Days[n-1].Date)
	l.is(t, "days absent", 4, int(b.Days[n-1].Date-b.Days[0].Date)+1-n)
	l.is(t, "breaks", 5, breaks(b.Days))
	flags := map[string]int{}
	for flag, n := range b.Flags {
		flags[strings.TrimPrefix(flag, "quality ")] = n
	}
	l.counts(t, "quality", 6, flags)
	l.sum(t, "the sum", 7, sum[2])
}
