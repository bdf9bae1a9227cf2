package chart_test

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/call"
	"budcall/internal/chart"
	"budcall/internal/civil"
	"budcall/internal/stage"
)

var update = flag.Bool("update", false, "write the golden files anew")

// example is an invented season of a site.
func example() chart.Season {
	d := civil.MustParse
	days := func(a, b string) civil.Range { return civil.Range{First: d(a), Last: d(b)} }
	s := chart.Season{Site: "Kolmivaara <high>", Year: 2031, Lang: "en"}
	type st struct {
		code         stage.BBCH
		need         float64
		p50          civil.Date
		perDay, from float64
	}
	for _, x := range []st{
		{stage.BudSwelling, 30, d("2031-04-24"), 1.4, 95}, {stage.BudBreak, 62, d("2031-05-11"), 1.7, 95},
		{stage.Flowering, 95, d("2031-05-18"), 2.0, 95}, {stage.FloweringOver, 170, d("2031-05-29"), 3.6, 105}, {stage.SeedRipe, 850, d("2031-08-17"), 7.0, 110},
	} {
		h := chart.Heat{Stage: x.code, NeedCd: x.need}
		t := chart.Track{Stage: x.code}
		for day := d("2031-03-01"); day <= x.p50; day++ {
			since := math.Max(0, float64(day.YearDay())-x.from)
			h.Points = append(h.Points, chart.HeatPoint{Date: day, SumCd: x.perDay * since * (0.6 + 0.4*since/60)})
			left := float64(x.p50 - day)
			spread := civil.Date(math.Round(2 + 9*math.Sqrt(left/100)))
			wander := civil.Date(math.Round(3 * math.Sin(float64(day)/9) * left / 60))
			p := chart.TrackPoint{Issued: day, P10: max(day, x.p50+wander-spread), P50: x.p50 + wander, P90: x.p50 + wander + spread + 1}
			if x.code == stage.SeedRipe && left > 130 {
				p.P90 = 0
			}
			t.Points = append(t.Points, p)
		}
		s.Heat, s.Narrowing = append(s.Heat, h), append(s.Narrowing, t)
	}
	s.Calls = []chart.Span{
		{Task: call.SendKit, Standing: call.Go, Days: days("2031-04-08", "2031-04-13")},
		{Task: call.BagOn, Standing: call.Ahead, Days: days("2031-04-28", "2031-05-07")},
		{Task: call.BagOn, Standing: call.Go, Days: days("2031-05-02", "2031-05-06")},
		{Task: call.BagOn, Standing: call.Hurry, Days: days("2031-05-07", "2031-05-08")},
		{Task: call.TakeOff, Standing: call.Ahead, Days: days("2031-06-06", "2031-06-27")},
		{Task: call.TakeOff, Standing: call.LookFirst, Days: days("2031-06-28", "2031-07-04")},
		{Task: call.LookAtSeed, Standing: call.TooLate, Days: days("2031-08-05", "2031-08-15")},
		{Task: call.PickSeed, Standing: call.Done, Days: days("2031-08-14", "2031-08-22")},
	}
	s.Reports = []chart.Mark{
		{Date: d("2031-04-18"), Text: "kit arrived"}, {Date: d("2031-04-26"), Text: "bud swelling seen"},
		{Date: d("2031-05-03"), Text: "bags on T1: 2 selfing bags and 1 control bag"}, {Date: d("2031-05-03"), Text: "bags on T2: 2 selfing bags and 1 control bag"},
		{Date: d("2031-05-03"), Text: "bags on T3: 2 selfing bags and 1 control bag"}, {Date: d("2031-05-04"), Text: "bags on T4: 1 selfing bag & 1 control bag"},
		{Date: d("2031-06-10"), Text: "bags off T1"}, {Date: d("2031-08-16"), Text: "picked from T1: 2 selfing packets and 1 control packet"},
	}
	return s
}

func TestASeasonLooksAsItsGoldenFile(t *testing.T) {
	for name, s := range map[string]chart.Season{"season.svg": example(), "empty.svg": {Site: "Isoaho", Year: 2031, Lang: "en"}} {
		got := chart.Site(s)
		path := filepath.Join("testdata", name)
		if *update {
			if err := os.MkdirAll("testdata", 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s differs; look at it with -update and git diff", path)
		}
	}
}

func TestAPictureIsThereForThoseWhoCannotSeeIt(t *testing.T) {
	got := string(chart.Site(example()))
	for _, want := range []string{`role="img"`, `aria-labelledby="title desc"`, "<title id=\"title\">Kolmivaara &lt;high&gt;, season 2031</title>", "<desc id=\"desc\">From above:", `lang="en"`} {
		if !strings.Contains(got, want) {
			t.Errorf("the picture lacks %s", want)
		}
	}
}

func TestAReachedNeedEndsItsCurve(t *testing.T) {
	d := civil.MustParse("2031-05-01")
	s := chart.Season{Year: 2031, Heat: []chart.Heat{{Stage: stage.BudBreak, NeedCd: 50, Points: []chart.HeatPoint{
		{Date: d, SumCd: 10}, {Date: d + 1, SumCd: 60}, {Date: d + 2, SumCd: 90},
	}}}}
	path := regexp.MustCompile(`class="curve c0" d="([^"]+)"`).FindSubmatch(chart.Site(s))
	// By hand: 10 of 50 and then the whole need; the third day is left out.
	if path == nil || strings.Count(string(path[1]), "L") != 1 {
		t.Errorf("curve %s, want two points", path)
	}
	if got := string(chart.Site(s)); strings.Contains(got, "bud break: 50 degree days, ") {
		t.Error("a need that is reached says a share")
	}
	s.Heat[0].Points = s.Heat[0].Points[:1]
	s.Heat[0].Points = append(s.Heat[0].Points, chart.HeatPoint{Date: d + 1, SumCd: 20})
	if got := string(chart.Site(s)); !strings.Contains(got, "bud break: 50 degree days, 40 %") { // 20 of 50
		t.Error("a need that isn't reached lacks its share")
	}
}

func TestWhatIsNotKnownIsLeftOut(t *testing.T) {
	d := civil.MustParse("2031-05-01")
	rows := map[string]chart.Season{
		"a need of nothing":           {Heat: []chart.Heat{{NeedCd: 0, Points: []chart.HeatPoint{{Date: d, SumCd: 1}}}}},
		"a need that is no number":    {Heat: []chart.Heat{{NeedCd: math.NaN(), Points: []chart.HeatPoint{{Date: d, SumCd: 1}}}}},
		"sums that are no numbers":    {Heat: []chart.Heat{{NeedCd: 1, Points: []chart.HeatPoint{{Date: d, SumCd: math.NaN()}, {Date: d + 1, SumCd: math.Inf(1)}}}}},
		"a forecast of nothing":       {Narrowing: []chart.Track{{Points: []chart.TrackPoint{{Issued: d}, {Issued: d + 1}}}}},
		"only one day of issue":       {Narrowing: []chart.Track{{Points: []chart.TrackPoint{{Issued: d, P10: d, P50: d, P90: d}}}}},
		"an empty run of days":        {Calls: []chart.Span{{Task: call.BagOn, Standing: call.Go}}},
		"a standing that isn't drawn": {Calls: []chart.Span{{Task: call.BagOn, Days: civil.Range{First: d, Last: d}}}},
		"a report without a day":      {Reports: []chart.Mark{{Text: "x"}}},
		"days far away":               {Calls: []chart.Span{{Task: call.BagOn, Standing: call.Go, Days: civil.Range{First: 1, Last: 3_000_000}}}},
		"letters that XML can't hold": {Site: "a\x00\x1b]0;\xff\ufffe&<\"'>", Reports: []chart.Mark{{Date: d, Text: "\x02</text>"}}},
	}
	for name, s := range rows {
		s.Year = 2031
		t.Run(name, func(t *testing.T) { wellFormed(t, chart.Site(s)) })
	}
}

// failer is what of testing.T and rapid.T is needed.
type failer interface{ Fatalf(string, ...any) }

func wellFormed(t failer, svg []byte) {
	dec := xml.NewDecoder(bytes.NewReader(svg))
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			t.Fatalf("not well-formed: %v\n%s", err, svg)
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		for _, a := range e.Attr {
			switch a.Name.Local {
			case "x", "y", "x1", "x2", "y1", "y2", "cx", "cy":
				if v, err := strconv.ParseFloat(a.Value, 64); err != nil || !(v >= 0 && v < 20000) {
					t.Fatalf("%s has %s=%q", e.Name.Local, a.Name.Local, a.Value)
				}
			}
		}
	}
}

func TestAnySeasonGivesAPictureAndAlwaysTheSame(t *testing.T) {
	day := rapid.Custom(func(t *rapid.T) civil.Date {
		if rapid.IntRange(0, 5).Draw(t, "none") == 0 {
			return 0
		}
		return civil.MustParse("2031-01-01") + civil.Date(rapid.IntRange(-400, 800).Draw(t, "day"))
	})
	rapid.Check(t, func(t *rapid.T) {
		s := chart.Season{Site: rapid.String().Draw(t, "site"), Year: 2031}
		for range rapid.IntRange(0, 4).Draw(t, "stages") {
			h := chart.Heat{Stage: stage.BBCH(rapid.IntRange(0, 99).Draw(t, "bbch")), NeedCd: rapid.Float64().Draw(t, "need")}
			tr := chart.Track{Stage: h.Stage, Name: rapid.String().Draw(t, "name")}
			for range rapid.IntRange(0, 6).Draw(t, "points") {
				h.Points = append(h.Points, chart.HeatPoint{Date: day.Draw(t, "date"), SumCd: rapid.Float64().Draw(t, "sum")})
				tr.Points = append(tr.Points, chart.TrackPoint{Issued: day.Draw(t, "issued"), P10: day.Draw(t, "p10"), P50: day.Draw(t, "p50"), P90: day.Draw(t, "p90")})
			}
			s.Heat, s.Narrowing = append(s.Heat, h), append(s.Narrowing, tr)
			s.Calls = append(s.Calls, chart.Span{Task: call.BagOn, Standing: call.Go, Days: civil.Range{First: day.Draw(t, "first"), Last: day.Draw(t, "last")}})
			s.Reports = append(s.Reports, chart.Mark{Date: day.Draw(t, "reported"), Text: rapid.String().Draw(t, "text")})
		}
		svg := chart.Site(s)
		wellFormed(t, svg)
		if !bytes.Equal(svg, chart.Site(s)) {
			t.Fatalf("drawn twice and differently")
		}
	})
}

func TestAPictureIsKept(t *testing.T) {
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium isn't installed: apt-get install chromium, then the picture is looked at too")
	}
	dir := os.Getenv("BUDCALL_ARTEFACTS")
	if dir == "" {
		dir = t.TempDir()
	}
	dir = filepath.Join(dir, "chart")
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	svg := filepath.Join(dir, "season.svg")
	if err := os.WriteFile(svg, chart.Site(example()), 0o644); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	picture := filepath.Join(dir, "season.png")
	cmd := exec.CommandContext(ctx, browser, "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
		"--disable-background-networking", "--disable-component-update", "--disable-sync", "--hide-scrollbars", "--user-data-dir="+t.TempDir(),
		"--window-size=1000,1100", "--screenshot="+picture, "file://"+svg)
	if err := cmd.Run(); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(picture); err != nil || info.Size() < 20_000 {
		t.Errorf("no picture: %v %v", info, err)
	}
}
