package feed_test

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"budcall/internal/civil"
	"budcall/internal/feed"
	"budcall/internal/weather"
)

// sample reads one of our own invented files.
func sample(t testing.TB, name string) []byte {
	t.Helper()
	body, err := os.ReadFile(filepath.Join("..", "..", "testdata", "feeds", filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	return body
}

// real reads a published sample, or skips.
func real(t testing.TB, name string) []byte {
	t.Helper()
	root := os.Getenv("BUDCALL_SHARED")
	if root == "" {
		root = filepath.Join("..", "..", "..", "shared")
	}
	body, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(name)))
	if errors.Is(err, os.ErrNotExist) {
		t.Skipf("no real samples here: set BUDCALL_SHARED to the folder that holds %s", name)
	}
	if err != nil {
		t.Fatal(err)
	}
	return body
}

func parse(t testing.TB, format string, body []byte, opt feed.Options) feed.Batch {
	t.Helper()
	b, err := feed.Parse(format, strings.NewReader(string(body)), opt)
	if err != nil {
		t.Fatalf("%s: %v", format, err)
	}
	checkBatch(t, b)
	return b
}

// checkBatch holds every batch to what the package promises.
func checkBatch(t testing.TB, b feed.Batch) {
	t.Helper()
	if !slices.IsSortedFunc(b.Days, func(a, b weather.Day) int { return int(a.Date - b.Date) }) {
		t.Error("the days are not sorted")
	}
	for i, d := range b.Days {
		if d.Date.IsZero() || i > 0 && d.Date == b.Days[i-1].Date {
			t.Errorf("day %d, %s, is none or twice", i, d.Date)
		}
	}
	if len(b.Rejects) > feed.MaxRejects {
		t.Errorf("%d rejects are listed", len(b.Rejects))
	}
	for _, r := range append(b.Rejects, b.Partial...) {
		if r.Line < 1 || r.Reason == "" || len([]rune(r.Text)) > 80 || strings.ContainsAny(r.Text, "\n\r\x00") {
			t.Errorf("reject %+v", r)
		}
	}
}

// refused checks that nothing is taken and that the refusal says why and what
// to do.
func refused(t testing.TB, sentence, format, body string, opt feed.Options, says ...string) {
	t.Helper()
	b, err := feed.Parse(format, strings.NewReader(body), opt)
	var r *feed.Refusal
	if !errors.As(err, &r) {
		t.Errorf("%s: %v", sentence, err)
		return
	}
	if len(b.Days)+len(b.Rejects) > 0 || r.Cure == "" {
		t.Errorf("%s: half accepted or without a cure: %+v", sentence, r)
	}
	for _, s := range says {
		if !strings.Contains(err.Error(), s) {
			t.Errorf("%s: %q is not in: %s", sentence, s, err)
		}
	}
}

func day(date string, minC, maxC, meanC float64) weather.Day {
	return weather.Day{Date: civil.MustParse(date), MinC: minC, MaxC: maxC, MeanC: meanC}
}

func marked(d weather.Day, mark weather.Mark) weather.Day { d.Mark = mark; return d }

var none = math.NaN()

// sameDays compares days, NaN with NaN, values to 1e-9.
func sameDays(t testing.TB, sentence string, got, want []weather.Day) {
	t.Helper()
	near := func(a, b float64) bool { return math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) < 1e-9 }
	if !slices.EqualFunc(got, want, func(a, b weather.Day) bool {
		return a.Date == b.Date && a.Mark == b.Mark && near(a.MinC, b.MinC) && near(a.MaxC, b.MaxC) && near(a.MeanC, b.MeanC)
	}) {
		t.Errorf("%s:\n got %v\nwant %v", sentence, got, want)
	}
}

// sameRejects compares lines, and reasons by their beginning or part.
func sameRejects(t testing.TB, got []feed.Reject, want map[int]string) {
	t.Helper()
	seen := map[int]bool{}
	for _, r := range got {
		seen[r.Line] = true
		if part, expected := want[r.Line]; !expected || !strings.Contains(r.Reason, part) {
			t.Errorf("unexpected: %s", r)
		}
	}
	for line, part := range want {
		if !seen[line] {
			t.Errorf("line %d is not rejected (%s)", line, part)
		}
	}
}

// sums gives count and sum of the values of each element.
func sums(days []weather.Day) (count [3]int, sum [3]float64) {
	for _, d := range days {
		for i, v := range [3]float64{d.MinC, d.MaxC, d.MeanC} {
			if !math.IsNaN(v) {
				count[i]++
				sum[i] += v
			}
		}
	}
	return count, sum
}

func TestEveryFormatIsTold(t *testing.T) {
	var names []string
	for _, f := range feed.Formats() {
		names = append(names, f.Name)
		if f.Brief == "" || len(f.Needs) == 0 {
			t.Errorf("%s says too little of itself", f.Name)
		}
	}
	if !slices.IsSorted(names) || len(slices.Compact(slices.Clone(names))) != len(names) {
		t.Errorf("not in order, or one twice: %v", names)
	}
	refused(t, "an unknown format", "ghcn", "x", feed.Options{}, `"ghcn"`, "ghcn-daily")
}

func TestWhatIsNoDataOfAnyFormat(t *testing.T) {
	zone := helsinki(t)
	for _, f := range feed.Formats() {
		opt := feed.Options{Zone: zone}
		if f.Name == "ghcn-cdo" { // whose files don't say it
			opt.Unit = "C"
		}
		refused(t, "nothing", f.Name, "", opt, "empty")
		refused(t, "blank", f.Name, " \r\n\n", opt, "empty")
		refused(t, "a page", f.Name, "\n<!DOCTYPE html><html>", opt, "HTML page")
		refused(t, "a page with a mark before it", f.Name, "\xef\xbb\xbf<HTML lang=fi>", opt, "HTML page")
		refused(t, "an archive", f.Name, "\x1f\x8b\x08\x00", opt, "compressed")
		refused(t, "nonsense", f.Name, "\x00\xff\xfe nonsense\n", opt)
		if _, err := feed.Parse(f.Name, iotest.ErrReader(errors.New("disk trouble")), opt); err == nil || !strings.Contains(err.Error(), "disk trouble") {
			t.Errorf("%s: %v", f.Name, err)
		}
	}
}

func TestAWindowSaysWhatADayIs(t *testing.T) {
	if w := (feed.Window{}); w.Stated() || w.String() != "not stated" {
		t.Error(w)
	}
	w := feed.Window{StartHour: 18, EndHour: 18, Zone: "UTC", Label: feed.LabelEnd}
	if !w.Stated() || w.String() != "18–18 UTC, dated by its end" {
		t.Error(w)
	}
}
