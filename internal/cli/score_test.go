package cli_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/cli"
)

// scored runs score on the invented observations of a folder and gives the
// rows of every forecast.
func scored(t *testing.T, dir string, more ...string) [][]string {
	t.Helper()
	var out, errs bytes.Buffer
	args := append([]string{"score", "--observations", filepath.Join(dir, "observations.csv"), "--temperatures", dir,
		"--today", "2031-12-31", "--species", "Betula pendula", "--phase", "bud break", "--cases", filepath.Join(dir, "cases.csv"), "--json"}, more...)
	if status := cli.Run(context.Background(), args, cli.Streams{Out: &out, Err: &errs}); status != 0 {
		t.Fatalf("status %d: %s", status, &errs)
	}
	f, err := os.Open(filepath.Join(dir, "cases.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

// edit changes each line of a file of a folder.
func edit(t *testing.T, dir, name string, line func([]string) []string) {
	t.Helper()
	path := filepath.Join(dir, name)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	for l := range strings.Lines(string(b)) {
		out.WriteString(strings.Join(line(strings.Split(strings.TrimSuffix(l, "\n"), ",")), ",") + "\n")
	}
	if err := os.WriteFile(path, []byte(out.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}

// Nonsense in place of all temperatures of a year from the day of issue on, and
// other dates for whatever was seen later that year: what was forecast is the
// same to the last byte, and what came is not.
func TestScoreForecastsAlikeWhateverComesAfterwards(t *testing.T) {
	const year, lead = 2027, "14"
	for name, options := range map[string][]string{
		"learned from all other years": nil, "learned from earlier years": {"--past-only"}, "own visits, reports late": {"--own-visits", "--report-delay", "3"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			if err := os.CopyFS(dir, os.DirFS("../hindcast/testdata")); err != nil {
				t.Fatal(err)
			}
			options = append([]string{"--leads", lead}, options...)
			before := scored(t, dir, options...)
			var last civil.Date // on which a forecast of that year was issued
			for _, r := range before {
				if r[4] == fmt.Sprint(year) {
					last = max(last, civil.MustParse(r[6]))
				}
			}
			edit(t, dir, "invented_daily_2015-2031.csv", func(f []string) []string {
				if d, err := civil.Parse(f[0]); err == nil && d >= last && d.Year() == year {
					return []string{f[0], "-3", "41", fmt.Sprint(int(d) % 40)}
				}
				return f
			})
			edit(t, dir, "observations.csv", func(f []string) []string {
				var doy int
				if _, err := fmt.Sscanf(f[0], "%d", &doy); err == nil && f[3] == fmt.Sprint(year) && civil.Of(year, 1, doy) >= last {
					f[0] = fmt.Sprint(doy + 11)
				}
				return f
			})
			after := scored(t, dir, options...)
			same, other := 0, 0
			for i, r := range before {
				if r[4] != fmt.Sprint(year) {
					continue
				}
				if r[7] != after[i][7] {
					other++
				}
				if r[8] == "false" {
					if forecast, again := strings.Join(r[9:12], " "), strings.Join(after[i][9:12], " "); forecast != again || r[6] != after[i][6] {
						t.Errorf("%s: %s became %s", r[3], forecast, again)
					}
					same++
				}
			}
			if same == 0 || other == 0 {
				t.Errorf("%d forecasts compared, %d dates moved: nothing is tested", same, other)
			}
		})
	}
}

// The keys that programs read.
func TestScoreGivesTheKeysAgreedOn(t *testing.T) {
	var out, errs bytes.Buffer
	args := []string{"score", "--observations", "../hindcast/testdata/observations.csv", "--temperatures", "../hindcast/testdata",
		"--species", "Betula pendula", "--phase", "bud break", "--leads", "21,14", "--today", "2031-12-31", "--json"}
	if status := cli.Run(context.Background(), args, cli.Streams{Out: &out, Err: &errs}); status != 0 {
		t.Fatalf("status %d: %s", status, &errs)
	}
	var got struct {
		Series  *string          `json:"series"`
		Units   *int             `json:"units"`
		Seasons *int             `json:"seasons"`
		Leads   []map[string]any `json:"leads"`
	}
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if got.Series == nil || got.Units == nil || got.Seasons == nil || len(got.Leads) != 2 {
		t.Fatalf("%s", &out)
	}
	for _, k := range strings.Fields("lead n_ahead n_gone crps crps_mean_date crps_regression skill mae rmse bias coverage80 width80 skill_low skill_high pit") {
		if got.Leads[0][k] == nil {
			t.Errorf("%s is missing", k)
		}
	}
}

// The bar goes from nothing to full over all series, and leaves nothing behind.
func TestTheBarOfScore(t *testing.T) {
	var b bytes.Buffer
	show, end := cli.DrawScoreBar(&b, 2)
	show(0, 4, 4)
	show(1, 4, 4)
	end()
	for _, want := range []string{"[" + strings.Repeat("=", 20) + strings.Repeat(" ", 20) + "] series 1 of 2, season 4 of 4", "[" + strings.Repeat("=", 40) + "] series 2 of 2, season 4 of 4"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("%q lacks %q", b.String(), want)
		}
	}
	if !strings.HasSuffix(b.String(), strings.Repeat(" ", 40)+"\r") {
		t.Errorf("it stays: %q", b.String())
	}
	var none bytes.Buffer
	_, end = cli.DrawScoreBar(&none, 1)
	end()
	if none.Len() > 0 {
		t.Errorf("a bar that was never drawn wrote %q", none.String())
	}
}

// That of a season is full on its last day.
func TestTheBarOfASeason(t *testing.T) {
	var b bytes.Buffer
	show, end := cli.DrawSeasonBar(&b)
	first, last := civil.Of(2031, 3, 1), civil.Of(2031, 3, 10)
	show(last, first, last, 12)
	end()
	if want := "[" + strings.Repeat("=", 40) + "] 2031-03-10, 12 mails"; !strings.Contains(b.String(), want) || !strings.HasSuffix(b.String(), "\r") {
		t.Errorf("%q lacks %q", b.String(), want)
	}
}
