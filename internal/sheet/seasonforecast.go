package sheet

import (
	"math"
	"strconv"
)

func (s Season) scores() file {
	f := file{
		name: "scores",
		Table: columns("site", "bbch", "seen", "not_yet", "lead_days", "issued", "p10", "p50", "p90", "error_days", "crps_days",
			"mean_date_days", "regression_days", "inside80", "past_dates", "basis"),
		shown: []string{"site", "bbch", "seen", "not_yet", "lead_days", "p10", "p50", "p90", "error_days", "crps_days", "mean_date_days", "regression_days"},
	}
	for _, site := range s.Sites {
		for _, sc := range site.Scores {
			was := site.inForce(sc.Code, sc.Issued)
			f.add(map[string]string{
				"site": site.Code, "bbch": strconv.Itoa(int(sc.Code)), "seen": isoOrEmpty(sc.Seen), "not_yet": isoOrEmpty(sc.NotYet),
				"lead_days": strconv.Itoa(sc.Lead), "issued": isoOrEmpty(sc.Issued),
				"p10": isoOrEmpty(was.P10), "p50": isoOrEmpty(was.P50), "p90": isoOrEmpty(was.P90),
				"error_days": decimals(sc.ErrorDays, 2), "crps_days": decimals(sc.CRPS, 2), "mean_date_days": decimals(sc.CRPSMeanDate, 2),
				"regression_days": decimals(sc.CRPSRegression, 2), "inside80": decimals(sc.Inside80(), 3),
				"past_dates": strconv.Itoa(sc.Past), "basis": string(sc.Basis),
			})
		}
	}
	return f
}

// forecasts gives every forecast as it was issued; the page shows the newest of
// each stage, see newest.
func (s Season) forecasts() file {
	f := file{name: "forecasts", Table: columns("site", "bbch", "issued", "p10", "p50", "p90")}
	for _, site := range s.Sites {
		for _, i := range site.Issued {
			f.add(map[string]string{
				"site": site.Code, "bbch": strconv.Itoa(int(i.Code)), "issued": isoOrEmpty(i.On),
				"p10": isoOrEmpty(i.P10), "p50": isoOrEmpty(i.P50), "p90": isoOrEmpty(i.P90),
			})
		}
	}
	return f
}

// newest leaves the last row of each site and stage.
func newest(rows []Row) (out []Row) {
	last := map[string]int{}
	for i, r := range rows {
		last[r.Text("site")+" "+r.Text("bbch")] = i
	}
	for i, r := range rows {
		if last[r.Text("site")+" "+r.Text("bbch")] == i {
			out = append(out, r)
		}
	}
	return out
}

// decimals writes a number with at most n decimals; one that isn't known is empty.
func decimals(x float64, n int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return ""
	}
	pow := math.Pow(10, float64(n))
	return strconv.FormatFloat(math.Round(x*pow)/pow+0, 'f', -1, 64)
}
