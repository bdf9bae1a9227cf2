package words

import "math"

// Whose past years stand for the weather to come.
const (
	YearsOwn       Key = "years.own"
	YearsLent      Key = "years.lent"
	YearsSeen      Key = "years.seen"
	YearsUnseen    Key = "years.unseen"
	YearsGenerated Key = "years.generated"
	KelvinForm     Key = "kelvin.form"
)

var englishYears = Texts{
	YearsOwn:       "{n} year of its own | {n} years of its own",
	YearsLent:      "{n} of {station} (its days stand for the site's within {within}; {seen}) | {n} of {station} (its days stand for the site's within {within}; {seen})",
	YearsSeen:      "{n} day seen side by side | {n} days seen side by side",
	YearsUnseen:    "never seen side by side, corrected for altitude alone",
	YearsGenerated: "{n} generated from monthly normals | {n} generated from monthly normals",
	KelvinForm:     "{n} K",
}

// Kelvin gives a difference of temperature in K with one decimal: "1.7 K".
func (c *Catalogue) Kelvin(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "–"
	}
	return c.Text(KelvinForm, Args{"n": c.decimal(x)})
}
