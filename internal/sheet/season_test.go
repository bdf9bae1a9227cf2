package sheet_test

import (
	"bytes"
	"encoding/csv"
	"flag"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/sheet"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

var update = flag.Bool("update", false, "write the golden files anew")

func on(monthDay string) civil.Date { return civil.MustParse("2031-" + monthDay) }

var eest = time.FixedZone("EEST", 3*3600)

func at(monthDay string, hour int) time.Time { return on(monthDay).In(eest, hour, 0).UTC() }

// exampleSeason is an invented season of two sites, of which one is no longer
// in the configuration. A control lot with filled seed is among it.
func exampleSeason() sheet.Season {
	reports := []trail.Report{
		{ID: 1, Person: "aino", Site: "KOL", Task: "bag on", Kind: trail.Going, Day: on("05-02"), On: on("05-03"), At: at("05-02", 18), Way: "form"},
		{ID: 2, Person: "aino", Site: "KOL", Task: "bag on", Kind: trail.BagsOn, Tree: "T1", Selfing: 2, Control: 1, Day: on("05-03"), At: at("05-03", 20), Way: "mail"},
		{ID: 3, Person: "aino", Site: "KOL", Task: "look at buds", Kind: trail.StageSeen, BBCH: 7, Day: on("05-09"), At: at("05-09", 20), Way: "form"},
		{ID: 4, Person: "gone", Site: "KOL", Task: "bag on", Kind: trail.Problem, Note: "=HYPERLINK(\"http://x.example\")", Day: on("05-10"), At: at("05-10", 9), Way: "mail"},
		{ID: 5, Person: "aino", Site: "KOL", Task: "take off", Kind: trail.BagsOff, Day: on("06-14"), At: at("06-14", 20), Way: "form"},
		{ID: 6, Person: "aino", Site: "KOL", Task: "pick seed", Kind: trail.Picked, Tree: "T1", Selfing: 2, Control: 1, Day: on("08-02"), At: at("08-02", 20), Way: "form"},
	}
	entries := []trail.Entry{
		{ID: 1, Season: 2031, Kind: trail.LabFilled, Subject: "KOL-101-31S-" + lotCheck("KOL-101-31S"), Person: "lab", Day: on("09-01"), At: at("09-01", 9), Data: trail.Data{Filled: &trail.Filled{Filled: 60, Tested: 200, Catkins: 10}}},
		{ID: 2, Season: 2031, Kind: trail.LabFilled, Subject: "KOL-101-31C-" + lotCheck("KOL-101-31C"), Person: "lab", Day: on("09-01"), At: at("09-01", 9), Data: trail.Data{Filled: &trail.Filled{Filled: 3, Tested: 200, Catkins: 10}}},
	}
	planted := []trail.Planted{
		{Site: "KOL", Tree: trail.Tree{Code: "KOL-101", Short: "T1"}, MinSelfing: 2, MinControl: 1, LotDays: 7},
		{Site: "KOL", Tree: trail.Tree{Code: "KOL-102", Short: "T2", Gone: true}, MinSelfing: 2, MinControl: 1, LotDays: 7},
	}
	kolmi := sheet.SeasonSite{
		Code: "KOL", Name: "Kolmivaara", Zone: eest, Reports: reports,
		Calls: []sheet.SeasonCall{
			{Task: call.BagOn, Standing: call.Done, Reason: call.Reported, Days: civil.Range{First: on("05-03"), Last: on("05-07")}, Since: on("05-03"), With: "aino"},
			{Task: call.LotExpected, Standing: call.Quiet},
		},
		Changes: []sheet.SeasonChange{
			{Task: call.BagOn, At: at("05-02", 17), Standing: call.Go, Reason: call.BestDaysBegin, Days: civil.Range{First: on("05-03"), Last: on("05-07")}},
			{Task: call.BagOn, At: at("05-03", 20), Standing: call.Done, Reason: call.Reported, Days: civil.Range{First: on("05-03"), Last: on("05-07")}},
		},
		Told: []sheet.SeasonTold{
			{At: at("05-02", 17), Person: "aino", Task: call.BagOn, Standing: call.Go, Reason: call.BestDaysBegin, Letter: "20310502T140000-abc", State: "sent"},
			{At: at("08-20", 17), Task: call.PickSeed, Standing: call.Hurry, Reason: call.NobodyElseKnown, Passed: true},
		},
		Issued: []sheet.SeasonForecast{
			{Code: 7, On: on("04-20"), P10: on("05-04"), P50: on("05-10"), P90: on("05-17")},
			{Code: 7, On: on("05-01"), P10: on("05-05"), P50: on("05-08"), P90: on("05-12")},
			{Code: 89, On: on("05-01"), P10: on("07-20"), P50: on("08-04")},
		},
		Scores: []stage.Score{
			{Code: 7, Lead: 14, Issued: on("04-25"), NotYet: on("05-08"), Seen: on("05-09"), ErrorDays: 1, CRPS: 1.234, PIT: ensemble.PIT{Low: 0.4, High: 0.5}, CRPSMeanDate: 2.5, CRPSRegression: 1.75, Past: 12, Basis: stage.BasisSeen},
			{Code: 7, Lead: 3, Issued: on("05-06"), NotYet: on("05-08"), Seen: on("05-09"), ErrorDays: -0.5, CRPS: 0.8, PIT: ensemble.PIT{Low: 0.6, High: 0.7}, CRPSMeanDate: math.NaN(), CRPSRegression: math.NaN(), Basis: stage.BasisNone},
		},
	}
	return sheet.Season{
		Programme: "Northern Birch Selfing", Year: 2031, At: on("10-06").In(eest, 9, 30), Lang: "en", Version: "v0",
		People: map[string]string{"aino": "Aino Hietavirta", "lab": "Laura <Labora> & Co"},
		Sites:  []sheet.SeasonSite{kolmi, {Code: "OLD", Reports: []trail.Report{{ID: 7, Person: "-bo", Site: "OLD", Task: "bag on", Kind: trail.CannotGo, Day: on("05-02"), At: at("05-02", 18), Way: "command"}}}},
		Trail:  trail.Fold(trail.Events{Season: 2031, Today: on("10-06"), Trees: planted, Reports: reports, Entries: entries}),
	}
}

// lotCheck gives the check character of a lot's code.
func lotCheck(code string) string {
	whole := trail.WithCheck(code)
	return whole[len(whole)-1:]
}

// rowsOf reads a table again.
func rowsOf(t *testing.T, body []byte) (list []map[string]string) {
	t.Helper()
	all, err := csv.NewReader(bytes.NewReader(body)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, cells := range all[1:] {
		row := map[string]string{}
		for i, name := range all[0] {
			row[name] = cells[i]
		}
		list = append(list, row)
	}
	return list
}

func TestASeasonReadsAsItsGoldenFiles(t *testing.T) {
	s := exampleSeason()
	files := s.CSV(sheet.CSVOptions{})
	files["season.html"] = s.Page()
	for name, got := range files {
		path := filepath.Join("testdata", "season", name)
		if *update {
			if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s differs (%v); -update writes it anew, then read it:\n%s", name, err, got)
		}
	}
}

func TestTheTablesOfASeasonAreTrueToIt(t *testing.T) {
	files := exampleSeason().CSV(sheet.CSVOptions{})
	for _, row := range []struct {
		sentence, file string
		rows           int
		where          string // column=value that one row has …
		want           map[string]string
	}{
		{"a call as it stands, with the changes that led there", "calls", 2, "call=bag on", map[string]string{"site": "KOL", "standing": "done", "first": "2031-05-03", "person": "aino", "changes": "2"}},
		{"a call that never came up", "calls", 2, "call=lot expected", map[string]string{"standing": "", "first": "", "changes": "0"}},
		{"a moment keeps its offset", "changes", 2, "standing=go", map[string]string{"at": "2031-05-02T17:00+03:00"}},
		{"what was told, with the mail it was in", "told", 2, "person=aino", map[string]string{"letter": "20310502T140000-abc", "state": "sent", "passed": ""}},
		{"nobody was left", "told", 2, "person=", map[string]string{"passed": "yes", "state": "", "reason": "nobody else to ask"}},
		{"an answer isn't a report", "answers", 2, "number=1", map[string]string{"kind": "going", "on": "2031-05-03", "said": "going on Sat 3 May"}},
		{"a code that looks like a formula is made harmless", "answers", 2, "number=7", map[string]string{"person": "'-bo", "site": "OLD"}},
		{"a report with its counts", "reports", 5, "number=2", map[string]string{"tree": "T1", "selfing": "2", "control": "1", "way": "mail"}},
		{"what somebody wrote is made harmless", "reports", 5, "number=4", map[string]string{"note": `'=HYPERLINK("http://x.example")`}},
		{"a score with the forecast that held on its day", "scores", 2, "lead_days=14", map[string]string{"p50": "2031-05-10", "issued": "2031-04-25", "error_days": "1", "crps_days": "1.23", "regression_days": "1.75", "inside80": "1"}},
		{"an error below 0 stays a number, an unknown one is empty", "scores", 2, "lead_days=3", map[string]string{"p50": "2031-05-08", "error_days": "-0.5", "mean_date_days": "", "basis": "none"}},
		{"every forecast that was issued", "forecasts", 3, "bbch=89", map[string]string{"p10": "2031-07-20", "p90": ""}},
		{"a tree with bags and lots", "trees", 2, "tree=T1", map[string]string{"code": "KOL-101-" + lotCheck("KOL-101"), "gone": ""}},
		{"a felled tree", "trees", 2, "tree=T2", map[string]string{"gone": "yes", "bags": "", "lots": ""}},
		{"the isolation check", "isolation", 1, "site=KOL", map[string]string{"verdict": "bounded", "selfing_filled": "60", "selfing_of": "200", "control_filled": "3", "control_catkins": "10", "ratio": "0.05"}}, // 3/10 over 60/10: by hand
	} {
		rows := rowsOf(t, files[row.file+".csv"])
		column, value, _ := strings.Cut(row.where, "=")
		found := 0
		for _, r := range rows {
			if r[column] != value {
				continue
			}
			found++
			for c, want := range row.want {
				if r[c] != want {
					t.Errorf("%s: %s is %q, want %q", row.sentence, c, r[c], want)
				}
			}
		}
		if len(rows) != row.rows || found != 1 {
			t.Errorf("%s: %s has %d rows, want %d, and %d with %s", row.sentence, row.file, len(rows), row.rows, found, row.where)
		}
	}
	if n := len(rowsOf(t, files["bags.csv"])) + len(rowsOf(t, files["lots.csv"])); n != 3+2 {
		t.Errorf("%d bags and lots, want 2 selfing and 1 control bag and 2 lots", n)
	}
}

func TestThePageNeedsNothingElseAndRunsNothing(t *testing.T) {
	page := string(exampleSeason().Page())
	for _, bad := range []string{"<script", "src=", "@import", "url(", "<Labora>", "javascript:", "<link"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	if links := regexp.MustCompile(`href="[^#]`).FindAllString(page, -1); links != nil {
		t.Errorf("the page leads elsewhere: %q", links)
	}
	for _, want := range []string{"Aino Hietavirta", "Kolmivaara", "nobody was left to ask", "going on Sat 3 May", "bud break", "Sat 10 May", "can be of foreign pollen", "Calls: 2", "gone"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page doesn't say %q", want)
		}
	}
}

func TestAnEmptySeasonSaysSo(t *testing.T) {
	s := sheet.Season{Programme: "New", Year: 2032, Lang: "en", At: on("10-06").In(eest, 9, 0)}
	if n := strings.Count(string(s.Page()), "None."); n != 12 {
		t.Errorf("%d of 12 parts are said to be empty", n)
	}
	for name, body := range s.CSV(sheet.CSVOptions{}) {
		if n := bytes.Count(body, []byte("\n")); n != 1 {
			t.Errorf("%s has %d lines, want its header alone", name, n)
		}
	}
}

// Whatever people wrote, no cell begins with what a spreadsheet would run, but
// for numbers below 0.
func TestNoCellOfASeasonIsRun(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := exampleSeason()
		text := rapid.SampledFrom([]string{"=1+1", "+1", "-1", "@x", "\t=1", "\r=1", "＝1", "x", "'=1"})
		r := &s.Sites[0].Reports[rapid.IntRange(0, 5).Draw(t, "which")]
		r.Note, r.Person, r.Tree, r.Way = text.Draw(t, "note"), text.Draw(t, "person"), text.Draw(t, "tree"), text.Draw(t, "way")
		for name, body := range s.CSV(sheet.CSVOptions{}) {
			all, err := csv.NewReader(bytes.NewReader(body)).ReadAll()
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			for _, cells := range all[1:] {
				for i, cell := range cells {
					if cell != "" && strings.ContainsAny(cell[:1], "=+-@\t\r") && all[0][i] != "error_days" {
						t.Fatalf("%s: %s holds %q", name, all[0][i], cell)
					}
				}
			}
		}
	})
}
