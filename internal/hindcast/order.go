package hindcast

// Which of two phases comes first goes by their dates: phases have names, not
// numbers. One that comes first nearly always is taken to do so always.
const (
	leastPairs   = 5
	nearlyAlways = 0.9
)

// reversed tells of plants that are said to have reached another phase of the
// same year in the wrong order. Both dates may be the wrong one, so the scored
// one is used.
func (c *choice) reversed(all []Observation, r Request) {
	mine := map[key]Observation{}
	for _, o := range c.kept {
		mine[keyOf(o)] = o
	}
	others := map[string][]Observation{}
	var phases []string
	for _, o := range all {
		asked := r
		if asked.Phase = o.Phase; !asked.wants(o) || r.wants(o) {
			continue
		}
		if _, ok := mine[keyOf(o)]; ok {
			if others[o.Phase] == nil {
				phases = append(phases, o.Phase)
			}
			others[o.Phase] = append(others[o.Phase], o)
		}
	}
	for _, phase := range phases {
		c.against(mine, others[phase])
	}
}

// against compares with one other phase.
func (c *choice) against(mine map[key]Observation, other []Observation) {
	before, after := 0, 0
	for _, o := range other {
		switch m := mine[keyOf(o)]; {
		case m.Day < o.Day:
			before++
		case m.Day > o.Day:
			after++
		}
	}
	if before+after < leastPairs || float64(max(before, after)) < nearlyAlways*float64(before+after) {
		return
	}
	rule := map[bool]string{true: "comes later", false: "comes earlier"}[before > after]
	for _, o := range other {
		if m := mine[keyOf(o)]; before > after && m.Day > o.Day || before < after && m.Day < o.Day {
			c.note(m.Line, "%s has %s on %s and %s on %s (line %d), which %s in %d of %d cases: it is used, correct the one that is wrong",
				plantName(m), m.Phase, m.Day, o.Phase, o.Day, o.Line, rule, max(before, after), before+after)
		}
	}
}
