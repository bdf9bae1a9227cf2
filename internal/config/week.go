package config

import "slices"

// readWeek reads when, and to whom beside the coordinator, the overview of all
// sites goes.
func (r *reading) readWeek(s *section) {
	p := r.programme
	week := s.get("week")
	p.Week, _ = r.slot(week, orElse(week.text(), defaultWeek))
	for _, e := range s.get("week_also_to").list() {
		code := r.people.refer(e)
		switch {
		case code == "":
		case code == p.Coordinator:
			e.problem("is the coordinator, who gets it anyway", "remove the name")
		case slices.Contains(p.WeekTo, code):
			e.problem("is named twice", "remove one")
		default:
			p.WeekTo = append(p.WeekTo, code)
		}
	}
}
