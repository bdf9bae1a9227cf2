package cli

import (
	"fmt"
	"io"
	"math"
	"strconv"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
)

// heatAnswer is a heat sum as programs read it; null is unknown, or no upper
// threshold.
type heatAnswer struct {
	Method  degreeday.Method `json:"method"`
	BaseC   float64          `json:"base_c"`
	UpperC  *float64         `json:"upper_c"`
	Cutoff  degreeday.Cutoff `json:"cutoff"`
	Start   civil.Date       `json:"start"`
	SumCd   *float64         `json:"sum_cd"`
	Missing []civil.Date     `json:"missing"`
	Days    []heatDay        `json:"days"`
}

type heatDay struct {
	Date   civil.Date `json:"date"`
	HeatCd *float64   `json:"heat_cd"`
	SumCd  *float64   `json:"sum_cd"`
}

func heatJSON(r degreeday.Rule, start civil.Date, sum degreeday.Sum) heatAnswer {
	out := heatAnswer{
		Method: r.Method, BaseC: r.BaseC, UpperC: orNull(r.UpperC), Cutoff: r.Cutoff, Start: start,
		SumCd: orNull(sum.TotalCd), Missing: append([]civil.Date{}, sum.Missing...), Days: []heatDay{},
	}
	for _, d := range sum.Days {
		out.Days = append(out.Days, heatDay{d.Date, orNull(d.HeatCd), orNull(d.SumCd)})
	}
	return out
}

// orNull gives a number to a millionth, so that 0.1+0.2 is 0.3; NaN is null.
func orNull(v float64) *float64 {
	if math.IsNaN(v) {
		return nil
	}
	v = math.Round(v*1e6) / 1e6
	return &v
}

func heatTable(w io.Writer, r degreeday.Rule, over civil.Range, sum degreeday.Sum) error {
	upper := "no upper threshold"
	if !math.IsNaN(r.UpperC) {
		upper = fmt.Sprintf("upper threshold %g °C (%s)", r.UpperC, r.Cutoff)
	}
	rows := [][]string{
		{fmt.Sprintf("method %s, base %g °C, %s, from %s", r.Method, r.BaseC, upper, over.First)}, {},
		{"day", "heat °C·d", "sum °C·d"},
	}
	for _, d := range sum.Days {
		rows = append(rows, []string{d.Date.String(), decimal(d.HeatCd), decimal(d.SumCd)})
	}
	last := fmt.Sprintf("sum: %s °C·d in %s", decimal(sum.TotalCd), counted(over.Len(), "day"))
	if len(sum.Missing) > 0 {
		last = fmt.Sprintf("sum: unknown, at least %s °C·d (%s of %d missing)", decimal(sum.KnownCd), counted(len(sum.Missing), "day"), over.Len())
	}
	return table(w, append(rows, []string{}, []string{last}))
}

// decimal writes degree days; unknown is a dash.
func decimal(v float64) string {
	if math.IsNaN(v) {
		return "-"
	}
	return strconv.FormatFloat(v, 'f', 2, 64)
}
