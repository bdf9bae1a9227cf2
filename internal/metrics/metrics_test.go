package metrics_test

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os/exec"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/testutil"

	"budcall/internal/metrics"
	"budcall/internal/stage"
)

// noon is the moment that these tests begin at.
var noon = time.Date(2031, 5, 3, 12, 0, 0, 0, time.UTC)

// hands is a clock that is set by hand.
type hands struct{ at time.Time }

func (h *hands) now() time.Time { return h.at }

// set gives metrics at noon, and the clock they live by.
func set(loops ...string) (*metrics.Metrics, *hands) {
	h := &hands{noon}
	return metrics.New(metrics.Options{Version: "1.2.3", Commit: "abcdef", Loops: loops, Now: h.now, Real: h.now}), h
}

// get asks for a path, and gives the status and the text.
func get(t *testing.T, m *metrics.Metrics, path string) (int, string) {
	t.Helper()
	w := httptest.NewRecorder()
	m.Handler().ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
	body, err := io.ReadAll(w.Result().Body)
	if err != nil {
		t.Fatal(err)
	}
	return w.Code, string(body)
}

// value gives the value of one series, as written in a scrape.
func value(t *testing.T, m *metrics.Metrics, series string) string {
	t.Helper()
	_, body := get(t, m, "/metrics")
	for line := range strings.Lines(body) {
		if v, ok := strings.CutPrefix(line, series+" "); ok {
			return strings.TrimSpace(v)
		}
	}
	return "missing"
}

// everything lets every kind of event happen once.
func everything(m *metrics.Metrics) {
	m.Set(metrics.Snapshot{
		SlotDone:      map[string]time.Time{"pull": noon, "evening": noon},
		NewestReading: map[string]time.Time{"station": noon, "outlook": noon},
		OldestOwed:    map[string]time.Duration{"mail": time.Minute, "webhook": time.Hour},
		OpenRun:       time.Second,
		Calls:         []metrics.Calls{{Task: "bag on", Standing: "go", Count: 2}},
		Troubles:      1,
		Held:          true,
	})
	for _, channel := range []string{"mail", "webhook"} {
		m.Doubtful(channel)
		for _, result := range []string{"sent", "later", "refused", "broken", "unknown"} {
			m.Sent(channel, result)
		}
	}
	m.Job("work", time.Second, true)
	m.Job("deliver", time.Millisecond, false)
	m.Rejects(3)
	m.Marked("out of range")
	m.PoolStats(5, 2, 10)
	m.Scores([]stage.Skill{{Code: 7, Lead: 14, N: 2, CRPS: 1, Inside80: 0.8, Timed: 2, ErrorDays: 1, AbsErrorDays: 1, Compared: 2, ComparedCRPS: 1, CRPSMeanDate: 2, CRPSRegression: 2}})
	m.SetReady(true, "")
	m.Progress("engine")
}

func TestNumbersKeepToTheRulesOfTheirFormat(t *testing.T) {
	m, _ := set("engine")
	everything(m)
	problems, err := testutil.GatherAndLint(m.Gatherer())
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range problems {
		if strings.HasPrefix(p.Metric, "budcall_") {
			t.Errorf("%s: %s", p.Metric, p.Text)
		}
	}
	_, body := get(t, m, "/metrics")
	t.Run("promtool", func(t *testing.T) {
		run(t, strings.NewReader(body), "promtool", "check", "metrics")
	})
}

// run runs a tool that must be content, or skips where the machine lacks it.
func run(t *testing.T, in io.Reader, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		t.Skipf("%s isn't on this machine, so it can't judge (Debian has promtool in the package prometheus, systemd-analyze in systemd)", name)
	}
	cmd := exec.Command(name, args...)
	var out bytes.Buffer
	cmd.Stdin, cmd.Stdout, cmd.Stderr = in, &out, &out
	if err := cmd.Run(); err != nil {
		t.Errorf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out.String())
	}
	return out.String()
}

func TestCountersExistBeforeTheFirstEvent(t *testing.T) {
	m, _ := set()
	for _, series := range []string{
		`budcall_sent_total{channel="mail",result="refused"}`,
		`budcall_sent_total{channel="webhook",result="unknown"}`,
		`budcall_doubtful_letters_total{channel="mail"}`,
		`budcall_marked_readings_total{reason="looks like °F"}`,
		`budcall_rejected_lines_total`,
		`budcall_job_duration_seconds_count{kind="deliver",result="failed"}`,
		`budcall_slot_last_success_timestamp_seconds{slot="evening"}`,
		`budcall_calls{standing="look first",task="bag on"}`,
		`budcall_owed_oldest_age_seconds{channel="webhook"}`,
		`budcall_open_run_age_seconds`,
		`budcall_ready`,
		`budcall_open_troubles`,
		`budcall_held`,
	} {
		if got := value(t, m, series); got != "0" {
			t.Errorf("%s is %s before anything happened, want 0", series, got)
		}
	}
}

func TestWhatHappensIsCounted(t *testing.T) {
	m, _ := set()
	everything(m)
	for series, want := range map[string]string{
		`budcall_sent_total{channel="webhook",result="later"}`:                  "1",
		`budcall_doubtful_letters_total{channel="mail"}`:                        "1",
		`budcall_marked_readings_total{reason="out of range"}`:                  "1",
		`budcall_rejected_lines_total`:                                          "3",
		`budcall_job_duration_seconds_sum{kind="work",result="done"}`:           "1",
		`budcall_job_duration_seconds_bucket{kind="work",result="done",le="1"}`: "1",
		`budcall_slot_last_success_timestamp_seconds{slot="pull"}`:              "1.935576e+09", // date -ud 2031-05-03T12:00 +%s
		`budcall_calls{standing="go",task="bag on"}`:                            "2",
		`budcall_owed_oldest_age_seconds{channel="webhook"}`:                    "3600",
		`budcall_database_connections{state="used"}`:                            "3", // 5 open, 2 of them idle
		`budcall_database_connections_max`:                                      "10",
		`budcall_open_troubles`:                                                 "1",
		`budcall_held`:                                                          "1",
		`budcall_ready`:                                                         "1",
		`budcall_start_timestamp_seconds`:                                       "1.935576e+09",
	} {
		if got := value(t, m, series); got != want {
			t.Errorf("%s is %s, want %s", series, got, want)
		}
	}
}

// seriesOf gives the name and labels of every series of ours.
func seriesOf(t *testing.T, g prometheus.Gatherer) []string {
	t.Helper()
	families, err := g.Gather()
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, f := range families {
		for _, s := range f.GetMetric() {
			if strings.HasPrefix(f.GetName(), "budcall_") {
				name := f.GetName()
				for _, l := range s.GetLabel() {
					name += fmt.Sprintf(" %s=%q", l.GetName(), l.GetValue())
				}
				out = append(out, name)
			}
		}
	}
	return out
}

func TestNoStrayWordMakesASeriesOfItsOwn(t *testing.T) {
	m, _ := set()
	everything(m)
	before := len(seriesOf(t, m.Gatherer()))
	for _, stray := range []string{"kolmi", "maia@birches.example", "", "a\nb", "dial tcp 10.0.0.1:25: connection refused"} {
		m.Sent(stray, stray)
		m.Doubtful(stray)
		m.Job(stray, time.Second, true)
		m.Marked(stray)
		m.SlotDone(stray, noon)
		m.NewestReading(stray, noon)
		m.OldestOwed(stray, time.Hour)
		m.Standing(stray, "go", 1)
		m.Standing("bag on", stray, 1)
		m.Progress(stray)
		m.SetReady(false, stray)
	}
	// Three vectors have room for one more word each: other.
	if after := len(seriesOf(t, m.Gatherer())); after != before+3 {
		t.Errorf("stray words made %d new series, want the 3 that are called other", after-before)
	}
	if got := value(t, m, `budcall_sent_total{channel="other",result="other"}`); got != "5" {
		t.Errorf("other has %s attempts, want all 5", got)
	}
	_, body := get(t, m, "/metrics")
	for _, word := range []string{"kolmi", "birches", "connection refused"} {
		if strings.Contains(body, word) {
			t.Errorf("%q is in the scrape", word)
		}
	}
	if n := before; n > 1000 {
		t.Errorf("%d series of our own, want fewer than 1000", n)
	}
}

func TestAgesGrowByThemselves(t *testing.T) {
	m, clock := set()
	if got := value(t, m, `budcall_newest_reading_age_seconds{class="station"}`); got != "missing" {
		t.Errorf("age of a reading that nobody knows of is %s, want none", got)
	}
	m.Set(metrics.Snapshot{
		NewestReading: map[string]time.Time{"station": noon.Add(-36 * time.Hour)},
		OldestOwed:    map[string]time.Duration{"mail": 5 * time.Minute},
		OpenRun:       time.Minute,
	})
	clock.at = noon.Add(time.Hour)
	for series, want := range map[string]string{ // each by hand: the age at noon and an hour
		`budcall_newest_reading_age_seconds{class="station"}`: "133200",
		`budcall_owed_oldest_age_seconds{channel="mail"}`:     "3900",
		`budcall_owed_oldest_age_seconds{channel="webhook"}`:  "0",
		`budcall_open_run_age_seconds`:                        "3660",
		`budcall_snapshot_age_seconds`:                        "3600",
	} {
		if got := value(t, m, series); got != want {
			t.Errorf("%s is %s, want %s", series, got, want)
		}
	}
}

func TestASnapshotForgetsWhatItNoLongerNames(t *testing.T) {
	m, _ := set()
	everything(m)
	m.Set(metrics.Snapshot{})
	for series, want := range map[string]string{
		`budcall_calls{standing="go",task="bag on"}`:               "0",
		`budcall_newest_reading_age_seconds{class="station"}`:      "missing",
		`budcall_owed_oldest_age_seconds{channel="mail"}`:          "0",
		`budcall_slot_last_success_timestamp_seconds{slot="pull"}`: "0",
		`budcall_open_troubles`:                                    "0",
		`budcall_held`:                                             "0",
	} {
		if got := value(t, m, series); got != want {
			t.Errorf("%s is %s, want %s", series, got, want)
		}
	}
}

func TestSeveralProgramsOfOneProcessDontShareNumbers(t *testing.T) {
	a, _ := set()
	b, _ := set()
	a.Rejects(1)
	if got := value(t, b, "budcall_rejected_lines_total"); got != "0" {
		t.Errorf("the other's count is %s, want 0", got)
	}
	if got := value(t, a, `budcall_rejected_lines_total`); got != "1" {
		t.Errorf("the own count is %s, want 1", got)
	}
	if !slices.ContainsFunc(seriesOf(t, a.Gatherer()), func(s string) bool {
		return strings.Contains(s, "budcall_build_info") && strings.Contains(s, `version="1.2.3"`) && strings.Contains(s, `commit="abcdef"`)
	}) {
		t.Error("budcall_build_info doesn't say version and commit")
	}
}
