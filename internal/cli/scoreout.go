package cli

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"strconv"

	"budcall/internal/chart"
	"budcall/internal/hindcast"
)

// tell writes the results to where they were asked for.
func (c *scoreFlags) tell(w io.Writer, results []hindcast.Result) error {
	if c.chart != "" {
		if err := os.WriteFile(c.chart, chart.Scores(results), 0o644); err != nil {
			return fmt.Errorf("writing the picture: %w: name another file", err)
		}
	}
	if c.cases != "" {
		body, err := casesCSV(results)
		if err == nil {
			err = os.WriteFile(c.cases, body, 0o644)
		}
		if err != nil {
			return fmt.Errorf("writing the forecasts: %w: name another file", err)
		}
	}
	if c.machine {
		if c.list != "" || len(c.series) > 1 {
			return asJSON(w, results)
		}
		return asJSON(w, results[0])
	}
	for _, r := range results {
		if err := c.scoreTable(w, r); err != nil {
			return err
		}
	}
	if len(results) > 1 {
		return c.scoreSummary(w, results)
	}
	return nil
}

// scoreTable writes one series for people.
func (c *scoreFlags) scoreTable(w io.Writer, r hindcast.Result) error {
	head := fmt.Sprintf("%s: %s, %s", r.Series, r.Species, r.Phase)
	if r.Series == r.Species+", "+r.Phase {
		head = r.Series
	}
	rows := [][]string{
		{head},
		{fmt.Sprintf("%s in %s, %s", unitsOf(r), counted(r.Seasons, "season"), c.setting())}, {},
		{"lead", "ahead", "gone", "CRPS", "mean date", "regression", "skill", "(95 %)", "MAE", "RMSE", "bias", "cover", "width", "in words"},
		{"days", "cases", "cases", "days", "CRPS, days", "CRPS, days", "", "", "days", "days", "days", "80", "80, days", ""},
	}
	for _, l := range r.Leads {
		row := []string{strconv.Itoa(l.Lead), strconv.Itoa(l.Ahead), strconv.Itoa(l.Gone)}
		if l.Ahead == 0 {
			rows = append(rows, append(row, "-", "-", "-", "-", "-", "-", "-", "-", "-", "-", "nothing to score"))
			continue
		}
		rows = append(rows, append(row, fixed(l.CRPS), fixed(l.CRPSMeanDate), fixed(l.CRPSRegression), signed(l.Skill),
			fmt.Sprintf("%s to %s", signed(l.SkillLow), signed(l.SkillHigh)), fixed(l.MAE), fixed(l.RMSE), signed(l.Bias), fixed(l.Coverage80), fmt.Sprintf("%.1f", l.Width80), skillInWords(l)))
	}
	if err := table(w, rows); err != nil {
		return err
	}
	return writeNotes(w, r.Notes)
}

func unitsOf(r hindcast.Result) string {
	if r.Per == hindcast.PerYear {
		return "the year as a whole"
	}
	return counted(r.Units, string(r.Per))
}

func (c *scoreFlags) setting() string {
	text := "learned from all other years"
	if c.pastOnly {
		text = "learned from earlier years"
	}
	if c.forecast == "simulated" {
		text += ", with a simulated forecast of ten days"
	} else {
		text += ", without weather forecast"
	}
	if c.ownVisits {
		text += ", own visits only"
	}
	if c.delayDays > 0 {
		text += fmt.Sprintf(", reports %s late", counted(c.delayDays, "day"))
	}
	return text
}

// skillInWords says what a skill means, and whether chance could be it.
func skillInWords(l hindcast.Lead) string {
	than := "the " + l.Better()
	switch {
	case l.SkillLow > 0:
		return fmt.Sprintf("%.0f %% better than %s", 100*l.Skill, than)
	case l.SkillHigh < 0:
		return fmt.Sprintf("%.0f %% worse than %s", -100*l.Skill, than)
	case l.Skill > 0.02:
		return fmt.Sprintf("perhaps better than %s", than)
	case l.Skill < -0.02:
		return fmt.Sprintf("perhaps worse than %s", than)
	}
	return "about as good as " + than
}

func writeNotes(w io.Writer, notes []string) error {
	var b bytes.Buffer
	if len(notes) > 0 {
		b.WriteString("\nto know:\n")
	}
	for _, n := range notes {
		b.WriteString(wrapped("- "+n, "  ") + "\n")
	}
	b.WriteString("\n")
	if _, err := w.Write(b.Bytes()); err != nil {
		return fmt.Errorf("writing the answer: %w", err)
	}
	return nil
}

// wrapped breaks a text into lines of which all but the first are indented.
func wrapped(text, indent string) string {
	return wrap(text, indent)[len(indent):]
}

func fixed(x float64) string { return strconv.FormatFloat(x, 'f', 2, 64) }

// signed writes two decimals with a sign, and zero without.
func signed(x float64) string {
	if text := fmt.Sprintf("%+.2f", x); text != "-0.00" && text != "+0.00" {
		return text
	}
	return "0.00"
}

// casesCSV is every forecast and what came.
func casesCSV(results []hindcast.Result) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	rows := [][]string{{"series", "species", "phase", "unit", "year", "lead", "issued", "observed", "gone", "p10", "p50", "p90", "crps", "crps_mean_date", "crps_regression", "pit_low", "pit_high"}}
	exact := func(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
	for _, r := range results {
		for _, c := range r.Cases {
			row := []string{r.Series, r.Species, r.Phase, c.Unit, strconv.Itoa(c.Year), strconv.Itoa(c.Lead), c.Issued.String(), c.Observed.String(), strconv.FormatBool(c.Gone)}
			if c.Gone {
				row = append(row, "", "", "", "", "", "", "", "")
			} else {
				for _, p := range []float64{0.1, 0.5, 0.9} {
					row = append(row, exact(1+c.Forecast.DaysTo(p)))
				}
				row = append(row, exact(c.CRPS), exact(c.CRPSMean), exact(c.CRPSRegression), exact(c.PITLow), exact(c.PITHigh))
			}
			rows = append(rows, row)
		}
	}
	err := w.WriteAll(rows)
	return b.Bytes(), err
}
