package metrics_test

import (
	"strings"
	"testing"

	"budcall/internal/stage"
)

func TestScoresOfForecasts(t *testing.T) {
	m, _ := set()
	if _, body := get(t, m, "/metrics"); strings.Contains(body, "budcall_forecast") {
		t.Error("before anything was scored there is a score")
	}
	m.Scores([]stage.Skill{
		{Code: 7, Lead: 14, N: 3, CRPS: 4, Inside80: 0.75, Timed: 2, ErrorDays: -1, AbsErrorDays: 3, Compared: 2, ComparedCRPS: 1.5, CRPSMeanDate: 3, CRPSRegression: 4},
		{Code: 60, Lead: 3, N: 1, CRPS: 200},
		{Code: 65, Lead: 3},
	})
	for series, want := range map[string]string{ // by hand: days of 86400 seconds
		`budcall_forecasts_scored{lead="14d",stage="07"}`:                      "3",
		`budcall_forecast_crps_seconds{by="forecast",lead="14d",stage="07"}`:   "129600", // of the two that are compared
		`budcall_forecast_crps_seconds{by="mean date",lead="14d",stage="07"}`:  "259200",
		`budcall_forecast_crps_seconds{by="regression",lead="14d",stage="07"}`: "345600",
		`budcall_forecast_error_seconds{lead="14d",stage="07"}`:                "-86400",
		`budcall_forecast_absolute_error_seconds{lead="14d",stage="07"}`:       "259200",
		`budcall_forecast_coverage_ratio{lead="14d",stage="07"}`:               "0.75",
		`budcall_forecast_crps_seconds{by="forecast",lead="3d",stage="60"}`:    "1.728e+07",
		`budcall_forecast_crps_seconds{by="mean date",lead="3d",stage="60"}`:   "missing",
		`budcall_forecast_error_seconds{lead="3d",stage="60"}`:                 "missing",
		`budcall_forecasts_scored{lead="3d",stage="65"}`:                       "missing",
	} {
		if got := value(t, m, series); got != want {
			t.Errorf("%s is %s, want %s", series, got, want)
		}
	}
	m.Scores(nil) // a new season
	if _, body := get(t, m, "/metrics"); strings.Contains(body, "budcall_forecast") {
		t.Error("last season's scores are still told")
	}
}
