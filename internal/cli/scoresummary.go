package cli

import (
	"fmt"
	"io"

	"budcall/internal/hindcast"
)

// scoreSummary writes several series side by side, and their mean: skill, CRPS
// and coverage by lead.
func (c *scoreFlags) scoreSummary(w io.Writer, results []hindcast.Result) error {
	for i, part := range []struct {
		name string
		of   func(hindcast.Lead) float64
		text func(float64) string
	}{
		{"skill against the better baseline", func(l hindcast.Lead) float64 { return l.Skill }, func(x float64) string { return fmt.Sprintf("%+.3f", x) }},
		{"CRPS, days", func(l hindcast.Lead) float64 { return l.CRPS }, fixed},
		{"CRPS against that of the mean date", func(l hindcast.Lead) float64 { return l.CRPS / l.CRPSMeanDate }, fixed},
		{"inside the 80 % interval", func(l hindcast.Lead) float64 { return l.Coverage80 }, fixed},
	} {
		rows := [][]string{{part.name + " at a lead of"}}
		if i == 0 {
			rows = append([][]string{{fmt.Sprintf("all %d series, %s", len(results), c.setting())}, {}}, rows...)
		}
		head := []string{"series"}
		sums, n := make([]float64, len(results[0].Leads)), make([]float64, len(results[0].Leads))
		for _, l := range results[0].Leads {
			head = append(head, counted(l.Lead, "day"))
		}
		rows = append(rows, head)
		for _, r := range results {
			row := []string{shortName(r)}
			for j, l := range r.Leads {
				if l.Ahead == 0 {
					row = append(row, "-")
					continue
				}
				sums[j], n[j] = sums[j]+part.of(l), n[j]+1
				row = append(row, part.text(part.of(l)))
			}
			rows = append(rows, row)
		}
		mean := []string{"mean"}
		for j := range sums {
			if n[j] == 0 {
				mean = append(mean, "-")
				continue
			}
			mean = append(mean, part.text(sums[j]/n[j]))
		}
		if err := table(w, append(rows, mean, nil)); err != nil {
			return err
		}
	}
	return nil
}

func shortName(r hindcast.Result) string {
	name := r.Species + ", " + r.Phase
	if r.Series != name {
		name = r.Series + ": " + name
	}
	return name
}
