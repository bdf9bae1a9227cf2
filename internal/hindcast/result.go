package hindcast

import (
	"encoding/json"
	"math"
)

// Result is how well one series was forecast.
type Result struct {
	Series  string   `json:"series"`
	Species string   `json:"species"`
	Phase   string   `json:"phase"`
	Per     Unit     `json:"per"`
	Units   int      `json:"units"`
	Seasons int      `json:"seasons"`
	Leads   []Lead   `json:"leads"`
	Notes   []string `json:"notes"` // what was left out or looks wrong, and why
	Cases   []Case   `json:"-"`     // every forecast, by year, unit and lead
}

// tenths is in how many parts the probability integral transform is counted.
const tenths = 10

// Lead is the scores at one lead time, over the same cases for all. Without
// any case ahead there are none, and JSON has null for them.
type Lead struct {
	Lead           int     `json:"lead"`    // days before the unit's mean date
	Ahead          int     `json:"n_ahead"` // cases scored
	Gone           int     `json:"n_gone"`  // cases that had happened by then
	CRPS           float64 `json:"crps"`    // days
	CRPSMeanDate   float64 `json:"crps_mean_date"`
	CRPSRegression float64 `json:"crps_regression"`
	Skill          float64 `json:"skill"` // against the better baseline
	MAE            float64 `json:"mae"`   // days, of the median
	RMSE           float64 `json:"rmse"`
	Bias           float64 `json:"bias"`       // days, forecast less observed
	Coverage80     float64 `json:"coverage80"` // by the probability integral transform
	Width80        float64 `json:"width80"`    // days
	SkillLow       float64 `json:"skill_low"`  // 95 % bootstrap interval over years
	SkillHigh      float64 `json:"skill_high"`

	// PIT is the share of cases by tenths of the forecast chance that the
	// observed day came at, the day's own chance being spread evenly: all are
	// 0.1 of a forecast that is neither too narrow, too wide nor to one side.
	PIT [tenths]float64 `json:"pit"`
}

// Better names the baseline of lower CRPS, that skill is against.
func (l Lead) Better() string {
	if l.CRPSRegression < l.CRPSMeanDate {
		return "regression"
	}
	return "mean date"
}

// MarshalJSON writes scores to a millionth, so that 0.1+0.2 is 0.3, and null
// where there is no case ahead.
func (l Lead) MarshalJSON() ([]byte, error) {
	type scored Lead // without this method
	if l.Ahead > 0 {
		for _, x := range []*float64{
			&l.CRPS, &l.CRPSMeanDate, &l.CRPSRegression, &l.Skill, &l.MAE, &l.RMSE, &l.Bias, &l.Coverage80, &l.Width80, &l.SkillLow, &l.SkillHigh,
		} {
			*x = millionth(*x)
		}
		for i, x := range l.PIT {
			l.PIT[i] = millionth(x)
		}
		return json.Marshal(scored(l))
	}
	var none struct {
		Lead           int  `json:"lead"`
		Ahead          int  `json:"n_ahead"`
		Gone           int  `json:"n_gone"`
		CRPS           *int `json:"crps"`
		CRPSMeanDate   *int `json:"crps_mean_date"`
		CRPSRegression *int `json:"crps_regression"`
		Skill          *int `json:"skill"`
		MAE            *int `json:"mae"`
		RMSE           *int `json:"rmse"`
		Bias           *int `json:"bias"`
		Coverage80     *int `json:"coverage80"`
		Width80        *int `json:"width80"`
		SkillLow       *int `json:"skill_low"`
		SkillHigh      *int `json:"skill_high"`
		PIT            *int `json:"pit"`
	}
	none.Lead, none.Gone = l.Lead, l.Gone
	return json.Marshal(none)
}

func millionth(x float64) float64 { return math.Round(x*1e6) / 1e6 }
