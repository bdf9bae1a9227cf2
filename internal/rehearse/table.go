package rehearse

import (
	"fmt"
	"strings"
)

// Table gives a trial's outcome for people: percent of trees with standard
// errors, trips and mails a season, then the worst seasons.
func (r Result) Table() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d stations, %d seasons, seed %d. Percent of trees ± standard error over years.\n\n", r.Stations, r.Seasons, r.Seed)
	fmt.Fprintf(&b, "%-30s %12s %12s %12s %12s %12s %10s %10s %7s\n", "plan", "lost", "too early", "in time", "off in time", "picked ripe", "trips bag", "trips pick", "mails")
	for _, p := range r.Plans {
		fmt.Fprintf(&b, "%-30s", p.Plan)
		for _, v := range [][2]float64{{p.Lost, p.LostSE}, {p.TooEarly, p.TooEarlySE}, {p.InTime, p.InTimeSE}, {p.OffInTime, p.OffInTimeSE}, {p.PickedRipe, p.PickedRipeSE}} {
			fmt.Fprintf(&b, " %12s", fmt.Sprintf("%.1f ± %.1f", 100*v[0], 100*v[1]))
		}
		fmt.Fprintf(&b, " %10.2f %10.2f %7.1f\n", p.TripsBag, p.TripsPick, p.MailsPerLead)
	}
	if len(r.Worst) > 0 {
		b.WriteString("\nWorst seasons:\n")
	}
	for _, w := range r.Worst {
		fmt.Fprintf(&b, "  %s %d: %.0f %% lost, %.0f %% too early. %s\n", w.Site, w.Year, 100*w.Lost, 100*w.TooEarly, w.Reason)
	}
	return b.String()
}
