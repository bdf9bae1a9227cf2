package cli_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/cli"
	"budcall/internal/config"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
)

// narrowed is a call whose forecast narrowed, and that was scored.
func narrowed() app.Why {
	d := civil.MustParse
	w := app.Why{Site: config.Site{Code: "HOME", Name: "Kotimäki"}}
	w.Season, w.Why.Stage = 2031, stage.BudBreak
	w.Issued = []stage.Issued{
		{Code: 7, On: d("2031-04-01")},
		{Code: 7, On: d("2031-04-19"), Days: ensemble.Days{From: d("2031-05-01"), By: []float64{0.25, 0.75, 1}}},
	}
	w.Scores = []stage.Score{
		{Code: 7, Lead: 28, Issued: d("2031-04-05"), Seen: d("2031-05-03"), NotYet: d("2031-05-01"), ErrorDays: math.NaN(), CRPS: 243, CRPSMeanDate: math.NaN(), CRPSRegression: math.NaN(), Basis: stage.BasisNone},
		{Code: 7, Lead: 14, Issued: d("2031-04-19"), Seen: d("2031-05-03"), NotYet: d("2031-05-01"), ErrorDays: -1, CRPS: 1.25,
			PIT: ensemble.PIT{Low: 0.75, High: 1}, CRPSMeanDate: 3, CRPSRegression: 2, Past: 4, Basis: stage.BasisComputed},
	}
	return w
}

func TestTheHistoryOfAForecastIsShown(t *testing.T) {
	text := func(w app.Why) string {
		var lines []string
		for _, row := range cli.HistoryRows(w) {
			lines = append(lines, strings.Join(row, " | "))
		}
		return strings.Join(lines, "\n")
	}
	want := `bud break (BBCH 07) at Kotimäki (HOME), season 2031

issued | 1 in 10 by | 5 in 10 by | 9 in 10 by
Tue 1 Apr | – | – | –
Sat 19 Apr | Thu 1 May | Fri 2 May | Sat 3 May
(a day without a row: the forecast of the day before stood)

issued | median | missed by (CRPS) | mean date | regression
Sat 5 Apr | 28 days before: not within the year | 243.0 days | – | –
Sat 19 Apr | 14 days before: 1 day too early | 1.2 days | 3.0 days | 2.0 days
seen Sat 3 May (not yet there on Thu 1 May); mean date and regression of 4 past dates that are computed, not seen`
	w := narrowed()
	w.Scores[1].CRPS = 1.2
	if got := strings.ReplaceAll(text(w), "\u00a0", " "); got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
	w.Scores = nil
	if got := text(w); !strings.Contains(got, "not scored") {
		t.Error(got)
	}
	w.Issued = nil
	if got := text(w); !strings.Contains(got, "no forecast was issued yet") {
		t.Error(got)
	}
}

func TestTheHistoryIsReadByPrograms(t *testing.T) {
	got, err := json.Marshal(cli.HistoryJSON(narrowed()))
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{
		`{"issued":"2031-04-01","p10":null,"p50":null,"p90":null,"from":null,"chances":[]}`,
		`"from":"2031-05-01","chances":[0.25,0.75,1]`,
		`"error_days":null,"crps_days":243,"crps_mean_date_days":null`,
		`"not_yet":"2031-05-01","error_days":-1,"crps_days":1.25,"crps_mean_date_days":3,"crps_regression_days":2,"pit":{"low":0.75,"high":1},"past_dates":4,"basis":"computed"`,
	} {
		if !strings.Contains(string(got), part) {
			t.Errorf("%s lacks %s", got, part)
		}
	}
}
