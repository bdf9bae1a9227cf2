package pull_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/pull"
	"budcall/internal/weather"
)

const header = "date,tmin_c,tmax_c,tmean_c\n"

// warm is 20 days of April as a table, at a scale.
func warm(scale, zero float64) string {
	s := header
	for i := range 20 {
		c := 8 + float64(i)/4
		s += fmt.Sprintf("2031-04-%02d,%.1f,%.1f,%.1f\n", i+1, (c-4)*scale+zero, (c+4)*scale+zero, c*scale+zero)
	}
	return s
}

func TestWhatAStationFileBrings(t *testing.T) {
	for _, row := range []struct {
		sentence, body string
		days           string // stored, as words
		rejected       string // part of the reasons
		failed         string // part of what is said of the source
		trouble        string // part of what the ops person is told
	}{
		{"days that are over are stored, the running one and later ones wait",
			header + "2031-04-18,1,9,5\n2031-04-19,2,10,6\n2031-04-20,3,11,7\n2031-04-21,40,41,40.5\n", "04-18 5.0, 04-19 6.0", "", "", ""},
		{"days need not be in order", header + "2031-04-19,2,10,6\n2031-04-21,3,11,7\n2031-04-18,1,9,5\n", "04-18 5.0, 04-19 6.0", "", "", ""},
		{"a garbled line is rejected by its number, the rest is used",
			header + "2031-04-17,1,9,5\n2031-04-18,x#?,9,5\n2031-04-19,2,10,6\n", "04-17 5.0, 04-19 6.0", "line 3", "", ""},
		{"what can't be is kept and marked", header + "2031-04-18,12,9,10\n2031-04-19,2,10,6\n", "04-18 10.0 min above max, 04-19 6.0", "", "", ""},
		{"a day twice with the same values is kept once", header + "2031-04-19,2,10,6\n2031-04-19,2,10,6\n", "04-19 6.0", "line 3", "", ""},
		{"two readings of one day are neither used", header + "2031-04-18,1,9,5\n2031-04-19,2,10,6\n2031-04-19,3,10,7\n", "04-18 5.0, 04-19 6.0 conflicting days", "line 4", "", ""},
		{"a file of another kind is refused whole", "<!DOCTYPE html><html><body>Sign in</body></html>", "", "", "data/met.csv: ", "data/met.csv: "},
		{"an empty file too", "", "", "", "data/met.csv: ", "data/met.csv: "},
		{"a file without the columns too", "when,what\n1,2\n", "", "", "data/met.csv: ", "data/met.csv: "},
	} {
		b := newBench()
		b.says(row.body)
		h := b.do(t)
		var reasons string
		for _, r := range h.Rejects {
			reasons += fmt.Sprintf("line %d: %s; ", r.Line, r.Reason)
		}
		if words(h.Days) != row.days {
			t.Errorf("%s: days\n%s\nwant\n%s", row.sentence, words(h.Days), row.days)
		}
		if !strings.Contains(reasons, row.rejected) || row.rejected == "" && reasons != "" {
			t.Errorf("%s: rejected %q", row.sentence, reasons)
		}
		if (h.Error != "") != (row.failed != "") || !strings.Contains(h.Error, row.failed) {
			t.Errorf("%s: said %q", row.sentence, h.Error)
		}
		if got := b.troubles["station:MET"]; (got != "") != (row.trouble != "") || !strings.Contains(got, row.trouble) {
			t.Errorf("%s: the ops person is told %q", row.sentence, got)
		}
		if h.Error != "" && (len(h.Body) > 0 || !h.RetryAt.After(morning)) {
			t.Errorf("%s: %d bytes kept, asked again at %s", row.sentence, len(h.Body), h.RetryAt)
		}
	}
}

func TestFahrenheitInACelsiusColumnIsToldAndMended(t *testing.T) {
	b := newBench()
	b.order.Options.Columns = map[string]string{"date": "day", "tmin": "low", "tmax": "high", "tmean": "mean"}
	b.says(strings.Replace(warm(1.8, 32), header, "day,low,high,mean\n", 1))
	h := b.do(t)
	if got := b.troubles["station:MET content"]; !strings.Contains(got, "data/met.csv: ") || !strings.Contains(got, "so none is used (declare unit: F") {
		t.Errorf("the ops person is told %q", got)
	}
	for _, d := range h.Days {
		if d.Mark == weather.Usable {
			t.Errorf("%s is used", d.Date)
		}
	}
	if len(h.Days) != 19 || len(h.Body) == 0 {
		t.Errorf("%d days, %d bytes kept", len(h.Days), len(h.Body))
	}
	// The operator does as told; the file has not changed.
	b.order.Options.Unit = "F"
	h = b.do(t)
	if len(h.Days) != 19 || h.Days[0].Mark != weather.Usable || h.Days[0].MeanC < 7.9 || h.Days[0].MeanC > 8.1 {
		t.Errorf("after the cure %s", words(h.Days))
	}
	if len(b.troubles) > 0 {
		t.Errorf("it is still told: %v", b.troubles)
	}
}

func TestForecastsAndJSONThatAreNone(t *testing.T) {
	const good = `{"type":"Feature","geometry":{"type":"Point","coordinates":[25,60.3,51]},"properties":{"meta":{"updated_at":"2031-04-20T05:00:00Z","units":{"air_temperature":"celsius"}},"timeseries":[%s]}}`
	for _, row := range []struct{ sentence, format, body, want string }{
		{"JSON cut off", "metno", fmt.Sprintf(good, `{"time":"2031-04-20T06:00:00Z","data":{"instant":{"det`)[:200], ""},
		{"HTML instead of JSON", "metno", "<html><body>Service moved</body></html>", ""},
		{"JSON of another kind", "metno", `{"error":"no such place"}`, ""},
		{"JSON cut off, of a station", "open-meteo", `{"latitude":60.3,"longitude":25.0,"daily":{"time":["2031-04-1`, ""},
		{"a forecast whose days are over", "metno", fmt.Sprintf(good, steps("2031-04-10", 3, 5)), "check the provider's notices"},
	} {
		b := newBench()
		b.of(row.format)
		b.order.Path, b.order.URL, b.order.Options.Zone = "", "https://weather.example/x", utc
		if row.format == "metno" {
			b.order.Name, b.order.Class, b.order.Site = "outlook:HOME", "outlook", "HOME"
		}
		b.says(row.body)
		h := b.do(t)
		if h.Error == "" || !strings.HasPrefix(h.Error, b.order.Name+": ") || !strings.Contains(h.Error, row.want) || len(h.Days) > 0 {
			t.Errorf("%s: %d days, said %q", row.sentence, len(h.Days), h.Error)
		}
		if b.troubles[b.order.Name] != h.Error {
			t.Errorf("%s: the ops person is told %q", row.sentence, b.troubles)
		}
	}
	b := newBench()
	b.of("metno")
	b.order.Name, b.order.Class, b.order.Site, b.order.Options.Zone = "outlook:HOME", "outlook", "HOME", utc
	b.says(fmt.Sprintf(good, steps("2031-04-18", 5, 5)))
	h := b.do(t)
	if got := words(h.Days); !strings.HasPrefix(got, "04-20 5.0, 04-21 5.0") || strings.Contains(got, "04-19") || !h.IssuedAt.Equal(morning) {
		t.Errorf("of a forecast were kept %s, issued %s", got, h.IssuedAt)
	}
}

// steps writes hourly steps of one temperature.
func steps(from string, days int, tempC float64) string {
	var out []string
	at := civil.MustParse(from).In(utc, 0, 0)
	for i := range 24*days + 1 {
		out = append(out, fmt.Sprintf(`{"time":%q,"data":{"instant":{"details":{"air_temperature":%v}}}}`, at.Add(time.Duration(i)*time.Hour).Format(time.RFC3339), tempC))
	}
	return strings.Join(out, ",")
}

func TestTheSameFileAgain(t *testing.T) {
	b := newBench()
	file := header + "2031-04-18,1,9,5\n2031-04-19,2,10,6\n2031-04-20,3,11,7\n2031-04-21,4,12,8\n"
	b.says(file)
	b.do(t)
	again := b.do(t)
	if len(again.Body) > 0 || len(again.Days) > 0 {
		t.Errorf("the same bytes on the same day: %d bytes, %s", len(again.Body), words(again.Days))
	}
	b.order.Now = morning.Add(24 * time.Hour)
	next := b.do(t)
	if words(next.Days) != "04-20 7.0" || len(next.Body) > 0 {
		t.Errorf("the same bytes with a day more over: %s, %d bytes", words(next.Days), len(next.Body))
	}
	b.says(strings.Replace(file, "2031-04-18,1,9,5", "2031-04-18,1,9,5.5", 1))
	corrected := b.do(t)
	if words(corrected.Days) != "04-18 5.5, 04-19 6.0, 04-20 7.0" || len(corrected.Body) == 0 {
		t.Errorf("a correction: %s, %d bytes", words(corrected.Days), len(corrected.Body))
	}
}

func TestTheProviderIsAskedPolitely(t *testing.T) {
	b := newBench()
	b.order.Path, b.order.URL = "", "https://weather.example/met.csv"
	expires := morning.Add(2 * time.Hour)
	b.provider.answer = func(pull.Asking) (pull.Answer, error) {
		return pull.Answer{Body: []byte(header + "2031-04-19,2,10,6\n"), Expires: expires, LastModified: "Sun, 20 Apr 2031 06:00:00 GMT", ETag: `"a"`}, nil
	}
	b.do(t)
	b.order.Now = expires.Add(-time.Second)
	b.do(t)
	if len(b.provider.asked) != 1 {
		t.Errorf("asked %d times before it expired", len(b.provider.asked))
	}
	b.order.Now = expires
	b.provider.answer = func(pull.Asking) (pull.Answer, error) {
		return pull.Answer{Unchanged: true, Expires: expires.Add(time.Hour), LastModified: "Sun, 20 Apr 2031 06:00:00 GMT", ETag: `"a"`}, nil
	}
	h := b.do(t)
	asked := b.provider.asked[len(b.provider.asked)-1]
	if len(b.provider.asked) != 2 || asked.LastModified != "Sun, 20 Apr 2031 06:00:00 GMT" || asked.ETag != `"a"` {
		t.Errorf("asked %d times, at last with %q %q", len(b.provider.asked), asked.LastModified, asked.ETag)
	}
	if len(h.Days) > 0 || !h.Source.Expires.Equal(expires.Add(time.Hour)) || h.Source.Newest != civil.MustParse("2031-04-19") {
		t.Errorf("unchanged: %+v", h)
	}
}

// A page that isn't data must not make us believe that the data behind it are
// unchanged the next time.
func TestAnAnswerThatCannotBeUsedChangesNothingOfWhatIsSentAlong(t *testing.T) {
	b := newBench()
	b.order.Path, b.order.URL = "", "https://weather.example/met.csv"
	b.provider.answer = func(pull.Asking) (pull.Answer, error) {
		return pull.Answer{Body: []byte("<html>maintenance</html>"), ETag: `"page"`, LastModified: "x", Expires: morning.Add(time.Hour)}, nil
	}
	h := b.do(t)
	if h.Source.ETag != "" || h.Source.LastModified != "" || !h.Source.Expires.IsZero() || h.Source.Failures != 1 {
		t.Errorf("remembered: %+v", h.Source)
	}
	b.order.Now = h.RetryAt
	b.says(header + "2031-04-19,2,10,6\n")
	if h := b.do(t); words(h.Days) != "04-19 6.0" || h.Source.Failures != 0 || len(b.troubles) > 0 {
		t.Errorf("afterwards %s, %d failures, troubles %v", words(h.Days), h.Source.Failures, b.troubles)
	}
}

func TestStationsThatFailTogetherDontComeBackTogether(t *testing.T) {
	at := map[time.Time]string{}
	for i := range 40 {
		b := newBench()
		b.order.Name = fmt.Sprintf("station:S%d", i)
		b.provider.answer = func(pull.Asking) (pull.Answer, error) { return pull.Answer{}, &pull.Passing{Err: errors.New("down")} }
		first := b.do(t).RetryAt
		b.memory.sources = map[string]weather.Source{}
		if again := b.do(t).RetryAt; !again.Equal(first) {
			t.Errorf("%s comes back at %s and at %s", b.order.Name, first, again)
		}
		at[first.Truncate(15*time.Second)] = b.order.Name
	}
	if len(at) < 5 { // 150 s in quarters of a minute are ten
		t.Errorf("40 stations come back in %d quarters of a minute", len(at))
	}
}

func TestRawCopiesHaveTheirTime(t *testing.T) {
	b := newBench()
	b.order.RawCopies = 800 * 24 * time.Hour
	b.says(header + "2031-04-19,2,10,6\n")
	if h := b.do(t); !h.ForgetRawBefore.Equal(morning.AddDate(0, 0, -800)) {
		t.Errorf("%s", h.ForgetRawBefore)
	}
}

func TestFailuresBackOffAndTheThirdIsTold(t *testing.T) {
	b := newBench()
	down := errors.New("the server has trouble")
	b.provider.answer = func(pull.Asking) (pull.Answer, error) { return pull.Answer{}, &pull.Passing{Err: down} }
	for i, row := range []struct {
		waitMinutes float64
		told        bool
	}{{10, false}, {20, false}, {40, true}, {80, true}, {160, true}, {180, true}, {180, true}} { // doubled, three hours at most: our assumption
		h := b.do(t)
		if got := h.RetryAt.Sub(b.order.Now).Minutes(); got < row.waitMinutes || got >= 1.25*row.waitMinutes {
			t.Errorf("after failure %d it waits %v minutes, want %v and up to a quarter more", i+1, got, row.waitMinutes)
		}
		if _, told := b.troubles["station:MET"]; told != row.told {
			t.Errorf("after failure %d told: %v", i+1, b.troubles)
		}
		b.order.Now = h.RetryAt
	}
	b.provider.answer = func(pull.Asking) (pull.Answer, error) {
		return pull.Answer{}, &pull.Passing{Err: down, After: b.order.Now.Add(7 * time.Hour)}
	}
	if h := b.do(t); h.RetryAt.Before(b.order.Now.Add(7*time.Hour)) || h.RetryAt.After(b.order.Now.Add(7*time.Hour+5*time.Minute)) {
		t.Errorf("told to stay away for 7 h it comes back after %s", h.RetryAt.Sub(b.order.Now))
	}
	b.says(header + "2031-04-19,2,10,6\n")
	if h := b.do(t); h.Source.Failures != 0 || !h.RetryAt.IsZero() || len(b.troubles) > 0 {
		t.Errorf("after a success: %d failures, again at %s, troubles %v", h.Source.Failures, h.RetryAt, b.troubles)
	}
	b.provider.answer = func(pull.Asking) (pull.Answer, error) {
		return pull.Answer{}, errors.New("data/met.csv: no such file (put it there)")
	}
	if b.do(t); b.troubles["station:MET"] == "" {
		t.Error("a failure that can't pass by itself isn't told at once")
	}
}

func TestOneSourcesTroubleHoldsBackNoOther(t *testing.T) {
	b := newBench()
	b.provider.answer = func(a pull.Asking) (pull.Answer, error) {
		if a.Name == "station:BAD" {
			return pull.Answer{}, errors.New("garbled")
		}
		return pull.Answer{Body: []byte(header + "2031-04-19,2,10,6\n")}, nil
	}
	for name, want := range map[string]string{"station:BAD": "", "station:GOOD": "04-19 6.0"} {
		b.order.Name = name
		if h := b.do(t); words(h.Days) != want {
			t.Errorf("%s brought %q", name, words(h.Days))
		}
	}
	if b.troubles["station:BAD"] == "" || len(b.troubles) != 1 {
		t.Errorf("troubles %v", b.troubles)
	}
}

func TestAFailingMemoryIsAnErrorOfTheJob(t *testing.T) {
	b := newBench()
	b.says(header + "2031-04-19,2,10,6\n")
	b.memory.fail = errors.New("the database is away")
	if err := b.Do(t.Context(), b.order); !errors.Is(err, b.memory.fail) {
		t.Errorf("%v", err)
	}
	b.memory.fail = nil
	b.Trouble = func(context.Context, string, string) error { return errors.New("the database is away") }
	b.says("<html>")
	if err := b.Do(t.Context(), b.order); err == nil {
		t.Error("a trouble that couldn't be noted is forgotten")
	}
	if len(b.memory.hauls) != 0 {
		t.Error("the piece was settled before the trouble was noted")
	}
}

// Whatever stands in a file from today on, what is stored is the same.
func TestNothingOfTheFutureIsLookedAt(t *testing.T) {
	past := header + strings.Join(strings.Split(warm(1, 0), "\n")[1:20], "\n") + "\n"
	want := ""
	for i, future := range []string{"", "2031-04-20,90,99,95\n2031-04-21,88,99,95\n2031-04-22,88,99,95\n2031-04-23,88,99,95\n", "2031-04-20,-5,-3,-4\n2032-04-01,40,40,40\n"} {
		b := newBench()
		b.says(past + future)
		h := b.do(t)
		got := fmt.Sprint(words(h.Days), h.Source.Newest, b.troubles)
		if i == 0 {
			want = got
		}
		if got != want || len(h.Days) != 19 {
			t.Errorf("with the future %q:\n%s\nwant\n%s", future, got, want)
		}
	}
}
