package hindcast

// Result is how well one series was forecast.
type Result struct {
	Series  string   `json:"series"`
	Units   int      `json:"units"`
	Seasons int      `json:"seasons"`
	Leads   []Lead   `json:"leads"`
	Notes   []string `json:"-"` // what was left out, and why
	Cases   []Case   `json:"-"` // every forecast, by year, unit and lead
}

// Lead is the scores at one lead time, over the same cases for all.
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
}
