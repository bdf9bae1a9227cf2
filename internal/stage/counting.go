package stage

// Counting is one more way in which a profile counts heat, beside its stages'
// own.
type Counting struct {
	Name   string
	Warmth Warmth               // without a latitude; of Fitted nothing
	Fitted bool                 // base, start and fall are chosen by past reports; see FittedFamily
	Weight float64              // share in the forecast beside the others; the stages' own heat has 1
	Needs  map[BBCH]Requirement // of the stages for which they are given; of all others it is carried over
}

// Warmth gives the stage's own way of counting.
func (s Stage) Warmth() Warmth {
	return Warmth{Response: ByMethod, Rule: s.Heat.Rule, Start: s.Heat.Start}
}

// sameHeat reports whether two countings are one, so that requirements in them
// can be compared.
func sameHeat(a, b Warmth) bool {
	sameRule := a.Rule.Method == b.Rule.Method && a.Rule.Cutoff == b.Rule.Cutoff && a.Rule.BaseC == b.Rule.BaseC && sameUpper(a.Rule.UpperC, b.Rule.UpperC)
	return a.Response == b.Response && sameRule && a.BaseC == b.BaseC && a.Start == b.Start && a.LatitudeDeg == b.LatitudeDeg && a.FallPerDay == b.FallPerDay
}

func sameUpper(a, b float64) bool { return a == b || a != a && b != b } // NaN is none
