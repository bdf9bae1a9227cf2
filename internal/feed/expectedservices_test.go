package feed_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"budcall/internal/feed"
)

// checkSteps checks a forecast's steps and sum.
func checkSteps(t *testing.T, l expectedLine, b feed.Batch) {
	n := len(b.Readings)
	l.is(t, "steps", 1, n)
	l.is(t, "the first", 2, b.Readings[0].At.UTC().Format(time.RFC3339))
	l.is(t, "the last", 3, b.Readings[n-1].At.UTC().Format(time.RFC3339))
	steps, sum := map[string]int{}, b.Readings[0].TempC
	for i := 1; i < n; i++ {
		steps[fmt.Sprintf("%.1f", b.Readings[i].At.Sub(b.Readings[i-1].At).Hours())]++
		sum += b.Readings[i].TempC
	}
	l.counts(t, "step hours", 4, steps)
	l.sum(t, "the first temperature", 5, b.Readings[0].TempC)
	l.sum(t, "the last temperature", 6, b.Readings[n-1].TempC)
	l.sum(t, "the sum", 7, sum)
}

// checkFMISimple holds what is read to the line, and the other parameters to
// the text.
func checkFMISimple(t *testing.T, l expectedLine) {
	b := parse(t, "fmi", l.body, feed.Options{ReadingsOnly: true})
	l.is(t, "elements", 2, bytes.Count(l.body, []byte("<BsWfs:BsWfsElement")))
	each, nan := map[string]int{}, map[string]int{}
	for _, m := range regexp.MustCompile(`(?s)<BsWfs:ParameterName>(\w+)</BsWfs:ParameterName>\s*<BsWfs:ParameterValue>(\S+?)</BsWfs:ParameterValue>`).FindAllSubmatch(l.body, -1) {
		each[string(m[1])]++
		nan[string(m[1])] += map[bool]int{true: 1}[string(m[2]) == "NaN"]
	}
	l.counts(t, "elements by parameter", 3, each)
	l.counts(t, "NaN by parameter", 4, nan)
	wanted, others, missing := 0, 0, 0
	for name, n := range countsIn(l.m[3]) {
		switch name {
		case "tday", "tmin", "tmax", "TA_PT1H_AVG", "TA_PT1H_MIN", "TA_PT1H_MAX":
			wanted = n
			missing += countsIn(l.m[4])[name]
		default:
			others += n
		}
	}
	if len(b.Days)+len(b.Readings) != wanted || b.OtherRecords != others || b.MissingValues != missing {
		t.Errorf("EXPECTED.txt:%d: %d days, %d readings, %d others, %d missing; not %d, %d, %d", l.number, len(b.Days), len(b.Readings), b.OtherRecords, b.MissingValues, wanted, others, missing)
	}
	if announced, _ := strconv.Atoi(l.m[1]); announced > len(b.Readings)*4 && len(b.Readings) > 0 {
		notes(t, b, "announces "+l.m[1]+" members and holds "+l.m[2])
	}
}

func checkFMICoverage(t *testing.T, l expectedLine) {
	b := parse(t, "fmi", l.body, feed.Options{ReadingsOnly: true})
	l.is(t, "positions", 2, len(b.Readings))
	l.is(t, "the first epoch", 7, b.Readings[0].At.Unix())
	l.is(t, "the last epoch", 8, b.Readings[len(b.Readings)-1].At.Unix())
	fields := regexp.MustCompile(`<swe:field name="(\w+)"`).FindAllSubmatch(l.body, -1)
	l.is(t, "fields", 3, len(fields))
	var first []string
	for _, f := range fields[:4] {
		first = append(first, "'"+string(f[1])+"'")
	}
	l.is(t, "the first fields", 4, strings.Join(first, ", "))
	values := strings.Fields(string(regexp.MustCompile(`(?s)<gml:doubleOrNilReasonTupleList>(.*?)</gml:doubleOrNilReasonTupleList>`).FindSubmatch(l.body)[1]))
	nan := 0
	for _, v := range values {
		if v == "NaN" {
			nan++
		}
	}
	l.is(t, "values", 5, len(values))
	l.is(t, "NaN", 6, nan)
	if len(b.Readings)*len(fields) != len(values) {
		t.Errorf("%d readings of %d fields are no %d values", len(b.Readings), len(fields), len(values))
	}
	if nan == len(values) && b.MissingValues != len(b.Readings) {
		t.Errorf("all are NaN, and %d missing", b.MissingValues)
	}
}

func checkFrost(t *testing.T, l expectedLine) {
	refused(t, "precipitation", "frost", string(l.body), feed.Options{Zone: time.UTC}, "precipitation")
	var a struct {
		Type  string            `json:"@type"`
		Total int               `json:"totalItemCount"`
		Data  []json.RawMessage `json:"data"`
	}
	if err := json.Unmarshal(l.body, &a); err != nil {
		t.Fatal(err)
	}
	l.is(t, "the type", 1, a.Type)
	l.is(t, "the total", 2, a.Total)
	l.is(t, "the items", 3, len(a.Data))
}

func checkOpenMeteo(t *testing.T, l expectedLine) {
	b := parse(t, "open-meteo", l.body, feed.Options{})
	l.is(t, "the first day", 1, b.Days[0].Date)
	l.is(t, "the last day", 2, b.Days[len(b.Days)-1].Date)
	l.is(t, "the zone", 5, b.Window.Zone)
	var a struct {
		Offset int                        `json:"utc_offset_seconds"`
		Daily  map[string]json.RawMessage `json:"daily"`
		Units  map[string]string          `json:"daily_units"`
	}
	if err := json.Unmarshal(l.body, &a); err != nil {
		t.Fatal(err)
	}
	l.is(t, "the offset", 6, a.Offset)
	for _, key := range strings.Split(strings.ReplaceAll(l.m[3], "'", ""), ", ") {
		if _, ok := a.Daily[key]; !ok {
			t.Errorf("EXPECTED.txt:%d: %s isn't there", l.number, key)
		}
	}
	if n := strings.Count(l.m[3], "'") / 2; n != len(a.Daily)-1 { // time isn't listed
		t.Errorf("EXPECTED.txt:%d: %d keys, not %d", l.number, len(a.Daily)-1, n)
	}
	var units []string
	for _, u := range a.Units {
		if u != "" {
			units = append(units, "'"+u+"'")
		}
	}
	want := strings.Split(l.m[4], ", ")
	slices.Sort(units)
	slices.Sort(want)
	if units = slices.Compact(units); !slices.Equal(units, slices.Compact(want)) {
		t.Errorf("EXPECTED.txt:%d: units %q, not %q", l.number, units, want)
	}
}

// loggerOptions is what a person declares for the logger files that don't say it.
var loggerOptions = map[string]feed.Options{
	"headerless_decimal_comma_-200_missing.csv": {Columns: map[string]string{"time": "2", "temp": "4", "error": "9"}, Unit: "C", Clock: "UTC"},
	"headerless_sensor_error.csv":               {Columns: map[string]string{"time": "2", "temp": "4", "error": "9"}, Unit: "C", Clock: "UTC"},
	"minimal_bom_no_zone.csv":                   {Clock: "UTC+02:00"},
	"semicolon_decimal_comma_no_zone.csv":       {Clock: "UTC"},
}

func checkLogger(t *testing.T, l expectedLine) {
	opt := loggerOptions[strings.TrimPrefix(l.name, "logger-csv/")]
	opt.ReadingsOnly = true
	b := parse(t, "logger", l.body, opt)
	lines := strings.Split(strings.TrimRight(string(l.body), "\n"), "\n")
	l.is(t, "lines", 1, len(lines))
	says := map[bool]string{true: "True", false: "False"}
	l.is(t, "the byte-order mark", 2, says[bytes.HasPrefix(l.body, []byte("\xef\xbb\xbf"))])
	l.is(t, "CRLF", 3, says[bytes.Contains(l.body, []byte("\r\n"))])
	first := b.Readings[0].Line
	l.is(t, "the first data line", 4, lines[first-1])
	// Every line from the first reading on is a reading, an event or told.
	if got := first - 1 + len(b.Readings) + b.OtherRecords + len(b.Rejects); got != len(lines) {
		t.Errorf("EXPECTED.txt:%d: %d lines are accounted for, of %d", l.number, got, len(lines))
	}
}
