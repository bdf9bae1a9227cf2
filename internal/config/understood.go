package config

import (
	"fmt"
	"strings"
	"text/tabwriter"
)

// Understood prints what a programme's files were understood to say, as
// tables for people. Phone numbers stay out of it.
func Understood(p *Programme) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, %s\n\n", p.Code, p.Name)
	tables := []func(*tabwriter.Writer, *Programme){
		officeTable, peopleTable, stationsTable, forecastsTable, profilesTable, sitesTable, siteWorkTable, settingsTable,
	}
	for _, table := range tables {
		w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
		table(w, p)
		w.Flush() // a strings.Builder takes everything
	}
	return trimLines(strings.TrimRight(b.String(), "\n") + "\n")
}

// trimLines removes the blanks that a table leaves behind empty last cells.
func trimLines(text string) string {
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		lines[i] = strings.TrimRight(l, " ")
	}
	return strings.Join(lines, "\n")
}

func row(w *tabwriter.Writer, cells ...any) {
	for i, c := range cells {
		if i > 0 {
			fmt.Fprint(w, "\t")
		}
		fmt.Fprint(w, c)
	}
	fmt.Fprintln(w)
}

func officeTable(w *tabwriter.Writer, p *Programme) {
	row(w, "coordinator", with(p.Coordinator, "deputy", p.CoordinatorDeputy))
	row(w, "laboratory", dash(p.Laboratory))
	row(w, "ops person", p.Ops)
	row(w, "mail", fmt.Sprintf("by %s (TLS: %s) from %s", p.Mail.Relay, p.Mail.TLS, p.Mail.From))
	inboxRows(w, p.Inbox)
	for _, h := range p.Webhooks {
		row(w, "webhook", h.Name+" at "+h.URL)
	}
	row(w, "pages", fmt.Sprintf("%s, served at %s", p.PublicURL, p.Listen))
	row(w, "metrics", "http://"+p.Metrics+"/metrics")
	row(w, "database", orElse(p.Database.DSNFile, "the program's own"))
	var pull []string
	for _, s := range p.Pull {
		pull = append(pull, s.Spec)
	}
	row(w, "weather fetched", fmt.Sprintf("%s (%s)", strings.Join(pull, ", "), p.Zone))
	row(w, "evening telling", fmt.Sprintf("%s (%s)", p.Evening.Spec, p.Zone))
	row(w, "weekly overview", fmt.Sprintf("%s (%s), to %s", p.Week.Spec, p.Zone, strings.Join(append([]string{p.Coordinator}, p.WeekTo...), ", ")))
	row(w, "sites' files", p.Editing.said())
	row(w, "raw copies", fmt.Sprintf("kept for %d days", p.RawCopyDays))
	row(w, "letters", fmt.Sprintf("what they said is kept for %d days, the journal for %d", p.LetterDays, p.JournalDays))
	if p.Ribbons.Selfing != "" {
		row(w, "ribbons", with(p.Ribbons.Selfing+" for selfing", "control", p.Ribbons.Control))
	}
	row(w)
}

func peopleTable(w *tabwriter.Writer, p *Programme) {
	row(w, "PERSON", "NAME", "MAIL", "ZONE", "CAN GO", "ROLE")
	for _, q := range p.People {
		row(w, q.Code, q.Name, q.Email, q.Zone, namesOf(q.CanGo), q.Role)
	}
	row(w)
}

func stationsTable(w *tabwriter.Writer, p *Programme) {
	row(w, "STATION", "NAME", "POSITION", "ALTITUDE", "FORMAT", "FROM", "DAY")
	for _, t := range p.Stations {
		row(w, t.Code, t.Name, position(t.LatDeg, t.LonDeg), metres(t.AltitudeM), t.Format, t.from(), t.Window)
	}
	row(w)
}

// from tells where a station's readings come from.
func (t Station) from() string {
	switch {
	case !t.Served:
		return t.Path + t.URL
	case t.Hourly:
		return strings.TrimSpace("its provider, hourly " + t.ID)
	}
	return strings.TrimSpace("its provider " + t.ID)
}

func forecastsTable(w *tabwriter.Writer, p *Programme) {
	if len(p.Forecasts) == 0 {
		return
	}
	row(w, "FORECAST", "FORMAT", "FROM")
	for _, f := range p.Forecasts {
		row(w, f.Code, f.Format, f.URL)
	}
	row(w)
}

func position(latDeg, lonDeg float64) string {
	ns, ew := "N", "E"
	if latDeg < 0 {
		ns = "S"
	}
	if lonDeg < 0 {
		ew = "W"
	}
	return fmt.Sprintf("%.2f %s %.2f %s", abs(latDeg), ns, abs(lonDeg), ew)
}

func abs(v float64) float64 { return max(v, -v) }

func metres(v float64) string { return plain(v) + " m" }

func with(first, word, second string) string {
	if second == "" {
		return first
	}
	return fmt.Sprintf("%s (%s %s)", first, word, second)
}

func dash(text string) string { return orElse(text, "-") }
