package demo

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/trail"
)

// table is the season, a row a site. Days told are those of the mail that
// called somebody to the trees before they went.
func table(sites []*record) string {
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "SITE\tBAG ON: TOLD\tDONE\tTAKE OFF: TOLD\tDONE\tSEED\tCALLS\tMAILS\tREPORTS\tPASSED ON")
	for _, r := range sites {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t%d\t%d\t%d\t%d\n", r.site.Name,
			r.toldDays(call.BagOn, trail.BagsOn), dayList(r.daysOf(trail.BagsOn)),
			r.toldDays(call.TakeOff, trail.BagsOff), dayList(r.daysOf(trail.BagsOff)), r.seed(),
			r.asked(), r.letters, len(r.reported()), r.passed())
	}
	_ = w.Flush() // a strings.Builder takes everything
	return b.String()
}

func (r *record) toldDays(c call.Task, done trail.Kind) string {
	var said []string
	for _, days := range r.toldFor(c, r.daysOf(done)) {
		said = append(said, span(days))
	}
	if said == nil {
		return "-"
	}
	return strings.Join(said, ", ")
}

// seed says what came of the seed.
func (r *record) seed() string {
	packets := 0
	for _, rep := range r.reports {
		if rep.Kind == trail.Picked {
			packets += rep.Selfing + rep.Control
		}
	}
	if packets > 0 {
		return fmt.Sprintf("%d packets %s", packets, dayList(r.daysOf(trail.Picked)))
	}
	said := "none"
	if days := r.daysOf(trail.NothingToPick); len(days) > 0 {
		said += " " + dayList(days)
	}
	if len(r.calls[call.ShortSeason].Asked) > 0 {
		said += ", short season"
	}
	return said
}

func span(r civil.Range) string {
	if r.First == r.Last {
		return dayMonth(r.First)
	}
	if r.First.Month() == r.Last.Month() {
		return fmt.Sprintf("%d-%s", r.First.Day(), dayMonth(r.Last))
	}
	return dayMonth(r.First) + "-" + dayMonth(r.Last)
}

func dayList(days []civil.Date) string {
	if len(days) == 0 {
		return "-"
	}
	var said []string
	for _, d := range days {
		said = append(said, dayMonth(d))
	}
	return strings.Join(said, ", ")
}
