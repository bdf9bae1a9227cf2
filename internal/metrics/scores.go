package metrics

import (
	"strconv"

	"github.com/prometheus/client_golang/prometheus"

	"budcall/internal/stage"
)

// scores is how the season's issued forecasts did, by the stage's BBCH code
// and the lead. A stage that nobody has reported has no series: the mean of
// nothing is no number.
type scores struct {
	scored   *prometheus.GaugeVec
	crps     *prometheus.GaugeVec
	late     *prometheus.GaugeVec
	off      *prometheus.GaugeVec
	coverage *prometheus.GaugeVec
}

func newScores() scores {
	return scores{
		scored: vector("forecasts_scored", "Issued forecasts of this season whose stage was reported seen, by BBCH stage and lead before the reported day.", "stage", "lead"),
		crps: vector("forecast_crps_seconds", "Mean continuous ranked probability score of this season's forecasts and, on the same cases, of the mean date and of a regression on temperature; less is better, a day is 86400.",
			"stage", "lead", "by"),
		late:     vector("forecast_error_seconds", "Mean error of the median of this season's forecasts; above 0 they were late, a day is 86400.", "stage", "lead"),
		off:      vector("forecast_absolute_error_seconds", "Mean absolute error of the median of this season's forecasts, a day is 86400.", "stage", "lead"),
		coverage: vector("forecast_coverage_ratio", "Share of what was seen between P10 and P90 of this season's forecasts; 0.8 is honest.", "stage", "lead"),
	}
}

func (s scores) all() []prometheus.Collector {
	return []prometheus.Collector{s.scored, s.crps, s.late, s.off, s.coverage}
}

// What a score may be of, as the label by says it.
const (
	byForecast   = "forecast"
	byMeanDate   = "mean date"
	byRegression = "regression"
)

const secondsADay = 24 * 60 * 60

// Scores takes over how the season's forecasts did, and forgets what it said
// before. Stages are BBCH codes, so that there are at most a hundred.
func (m *Metrics) Scores(season []stage.Skill) {
	for _, v := range []*prometheus.GaugeVec{m.scores.scored, m.scores.crps, m.scores.late, m.scores.off, m.scores.coverage} {
		v.Reset()
	}
	for _, s := range season {
		if s.N == 0 || s.Code < 0 || s.Code > 99 {
			continue
		}
		code, lead := s.Code.String(), strconv.Itoa(s.Lead)+"d"
		m.scores.scored.WithLabelValues(code, lead).Set(float64(s.N))
		m.scores.coverage.WithLabelValues(code, lead).Set(s.Inside80)
		if s.Timed > 0 {
			m.scores.late.WithLabelValues(code, lead).Set(s.ErrorDays * secondsADay)
			m.scores.off.WithLabelValues(code, lead).Set(s.AbsErrorDays * secondsADay)
		}
		ours := s.CRPS
		if s.Compared > 0 {
			ours = s.ComparedCRPS
			m.scores.crps.WithLabelValues(code, lead, byMeanDate).Set(s.CRPSMeanDate * secondsADay)
			m.scores.crps.WithLabelValues(code, lead, byRegression).Set(s.CRPSRegression * secondsADay)
		}
		m.scores.crps.WithLabelValues(code, lead, byForecast).Set(ours * secondsADay)
	}
}
