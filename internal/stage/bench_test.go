package stage_test

import (
	"testing"

	"budcall/internal/stage"
)

// One stage of one site on one day: 30 members of 200 days.
func BenchmarkDistribution(b *testing.B) {
	temps := make([]float64, 30)
	for k := range temps {
		temps[k] = 5.2 + float64(k)/20
	}
	in := input{
		Stage: birch(stage.BudBreak), Season: 2031, Issued: firstOfMarch + 40, Horizon: 200,
		Observed: daily(firstOfMarch, 40, func(int) float64 { return 6 }), Members: constant(march1, 200, temps...),
	}
	for b.Loop() {
		mustIssue(b, in)
	}
}
