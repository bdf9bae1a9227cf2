package cli

import (
	"fmt"
	"math"
	"strconv"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
	"budcall/internal/words"
)

// historyRows gives the forecasts of a call's stage as they were issued, for
// people.
func historyRows(w app.Why) [][]string {
	c := words.For("en")
	name, known := c.StageKnown(int(w.Why.Stage))
	if !known {
		name = w.Why.StageName
	}
	rows := [][]string{{fmt.Sprintf("%s (BBCH %s) at %s (%s), season %d", name, w.Why.Stage, w.Site.Name, w.Site.Code, w.Season)}, {}}
	if len(w.Issued) == 0 {
		return append(rows, []string{"no forecast was issued yet"})
	}
	rows = append(rows, []string{"issued", "1 in 10 by", "5 in 10 by", "9 in 10 by"})
	for _, i := range w.Issued {
		row := []string{c.Day(i.On)}
		for _, p := range []float64{0.1, 0.5, 0.9} {
			d, _ := i.Days.Quantile(p)
			row = append(row, c.Day(d))
		}
		rows = append(rows, row)
	}
	rows = append(rows, []string{"(a day without a row: the forecast of the day before stood)"}, []string{})
	if len(w.Scores) == 0 {
		return append(rows, []string{"not scored: the stage wasn't reported seen, or nothing was forecast 3 to 56 days before"})
	}
	rows = append(rows, []string{"issued", "median", "missed by (CRPS)", "mean date", "regression"})
	for _, s := range w.Scores {
		rows = append(rows, []string{c.Day(s.Issued), c.ScoreLine(s.Lead, s.ErrorDays, s.Run()), c.MeanDays(s.CRPS), c.MeanDays(s.CRPSMeanDate), c.MeanDays(s.CRPSRegression)})
	}
	last := w.Scores[len(w.Scores)-1]
	return append(rows, []string{c.ScoredOf("seen "+c.Day(last.Seen), last.NotYet, last.Run()) + basis(last)})
}

// basis says what the baselines were made of.
func basis(s stage.Score) string {
	switch s.Basis {
	case stage.BasisSeen:
		return "; mean date and regression of " + strconv.Itoa(s.Past) + " past dates that were seen"
	case stage.BasisComputed:
		return "; mean date and regression of " + strconv.Itoa(s.Past) + " past dates that are computed, not seen"
	}
	return "; too few past years for a mean date"
}

// historyAnswer is the same as programs read it.
type historyAnswer struct {
	Site   string          `json:"site"`
	Season int             `json:"season"`
	Stage  int             `json:"stage"` // BBCH
	Issued []historyIssued `json:"issued"`
	Scores []historyScore  `json:"scores"`
}

type historyIssued struct {
	Issued  civil.Date  `json:"issued"`
	P10     *civil.Date `json:"p10"` // null: beyond the year
	P50     *civil.Date `json:"p50"`
	P90     *civil.Date `json:"p90"`
	From    *civil.Date `json:"from"`    // first day of chances; null: none on any day
	Chances []float64   `json:"chances"` // that the stage is reached by the end of each day; after the last it stays
}

type historyScore struct {
	Lead           int          `json:"lead_days"`
	Issued         civil.Date   `json:"issued"`
	Seen           civil.Date   `json:"seen"`
	NotYet         *civil.Date  `json:"not_yet"`
	ErrorDays      *float64     `json:"error_days"` // median less seen
	CRPS           float64      `json:"crps_days"`
	CRPSMeanDate   *float64     `json:"crps_mean_date_days"`
	CRPSRegression *float64     `json:"crps_regression_days"`
	PIT            ensemble.PIT `json:"pit"`
	PastDates      int          `json:"past_dates"`
	Basis          stage.Basis  `json:"basis"`
}

func historyJSON(w app.Why) historyAnswer {
	out := historyAnswer{Site: w.Site.Code, Season: w.Season, Stage: int(w.Why.Stage), Issued: []historyIssued{}, Scores: []historyScore{}}
	for _, i := range w.Issued {
		q := func(p float64) *civil.Date { d, _ := i.Days.Quantile(p); return dayOrNull(d) }
		out.Issued = append(out.Issued, historyIssued{
			Issued: i.On, P10: q(0.1), P50: q(0.5), P90: q(0.9), From: dayOrNull(i.Days.From), Chances: append([]float64{}, i.Days.By...),
		})
	}
	for _, s := range w.Scores {
		out.Scores = append(out.Scores, historyScore{
			Lead: s.Lead, Issued: s.Issued, Seen: s.Seen, NotYet: dayOrNull(s.NotYet), ErrorDays: numberOrNull(s.ErrorDays), CRPS: s.CRPS,
			CRPSMeanDate: numberOrNull(s.CRPSMeanDate), CRPSRegression: numberOrNull(s.CRPSRegression), PIT: s.PIT, PastDates: s.Past, Basis: s.Basis,
		})
	}
	return out
}

func dayOrNull(d civil.Date) *civil.Date {
	if d == 0 {
		return nil
	}
	return &d
}

func numberOrNull(x float64) *float64 {
	if math.IsNaN(x) {
		return nil
	}
	return &x
}
