package cli

import (
	"fmt"
	"io"
	"strconv"
	"time"

	"budcall/internal/civil"
	"budcall/internal/replay"
	"budcall/internal/words"
)

// printedLeads is the leads that the table for people has room for; --json has
// all of them.
var printedLeads = []int{28, 14, 7}

// print writes a season for people.
func (r replayed) print(w io.Writer, kept folder) error {
	c := words.For("en")
	n := 0
	for _, of := range r.reports {
		n += len(of)
	}
	fmt.Fprintf(w, "%s, season %d as it would have been: %s to %s, %d sites, %d mails, %d reports and answers\n\n",
		r.programme.Name, r.year, r.firstDay, r.lastDay, len(r.shown), len(r.mails), n)
	for i, part := range [][][]string{r.callRows(c), r.narrowingRows(c), r.skillRows(c)} {
		if i > 0 {
			fmt.Fprintln(w)
		}
		if err := table(w, part); err != nil {
			return err
		}
	}
	if len(r.troubles) > 0 || kept != "" {
		fmt.Fprintln(w)
	}
	for _, t := range r.troubles {
		fmt.Fprintln(w, "still to be looked after:", t)
	}
	_, err := fmt.Fprint(w, kept.said())
	return err
}

// callRows is what people would have been told.
func (r replayed) callRows(c *words.Catalogue) [][]string {
	rows := [][]string{{"TOLD", "WHOM", "SITE", "TASK", "STANDING", "DAYS", "BECAUSE"}}
	for _, t := range r.tellings {
		whom := t.Person
		if whom == "" {
			whom = r.programme.Ops + " (nobody left)"
		}
		because := c.ReasonFor(t.Item.Task, t.Item.Reason)
		if t.Passed && t.Person != "" {
			because = "passed on: " + because
		}
		rows = append(rows, []string{r.local(t), whom, t.Site, string(t.Item.Task), string(t.Item.Standing), rangeOf(c, t.Item.Days), because})
	}
	if len(rows) == 1 {
		rows = append(rows, []string{"nobody is told anything"})
	}
	return rows
}

// local is when somebody was told, in the site's time.
func (r replayed) local(t replay.Telling) string {
	for _, s := range r.shown {
		if s.Code == t.Site {
			return t.At.In(s.Zone).Format("2006-01-02 15:04")
		}
	}
	return t.At.Format("2006-01-02 15:04")
}

func rangeOf(c *words.Catalogue, days civil.Range) string {
	if days.Len() == 0 {
		return "-"
	}
	return c.Days(days)
}

// narrowingRows is how the forecasts narrowed.
func (r replayed) narrowingRows(c *words.Catalogue) [][]string {
	head := []string{"SITE", "STAGE", "CAME"}
	for _, lead := range printedLeads {
		head = append(head, strconv.Itoa(lead)+" DAYS BEFORE")
	}
	rows := [][]string{head}
	for _, n := range r.narrowed {
		came := "-"
		switch {
		case n.Seen:
			came = day(n.Came)
		case n.Came != 0:
			came = "about " + day(n.Came)
		}
		row := []string{n.Site, n.Code.String() + " " + stageName(c, n), came}
		for _, lead := range printedLeads {
			row = append(row, leadSaid(n, lead))
		}
		rows = append(rows, row)
	}
	return rows
}

func stageName(c *words.Catalogue, n replay.Narrowed) string {
	if said, known := c.StageKnown(int(n.Code)); known || n.Name == "" {
		return said
	}
	return n.Name
}

// leadSaid is the median and, in brackets, P10 and P90 of a forecast.
func leadSaid(n replay.Narrowed, days int) string {
	for _, l := range n.At {
		if l.Days == days && l.Issued != 0 {
			return fmt.Sprintf("%s (%s to %s)", day(l.P50), day(l.P10), day(l.P90))
		}
	}
	return "-"
}

// day writes a day without its year.
func day(d civil.Date) string {
	if d == 0 {
		return "later"
	}
	return d.In(time.UTC, 0, 0).Format("2 Jan")
}

// skillRows is how the forecasts of reported stages did.
func (r replayed) skillRows(c *words.Catalogue) [][]string {
	rows := [][]string{{"STAGE", "LEAD", "N", "ERROR", "CRPS", "MEAN DATE", "REGRESSION", "SKILL", "P10-P90"}}
	for _, s := range r.skills() {
		skill, mean, regression := "-", "-", "-"
		if v, ok := s.Skill(); ok {
			skill = fmt.Sprintf("%+.2f", v)
		}
		if s.Compared > 0 {
			mean, regression = fmt.Sprintf("%.2f", s.CRPSMeanDate), fmt.Sprintf("%.2f", s.CRPSRegression)
		}
		late := "-"
		if s.Timed > 0 {
			late = fmt.Sprintf("%+.1f", s.ErrorDays)
		}
		rows = append(rows, []string{
			s.Code.String() + " " + c.Stage(int(s.Code)), strconv.Itoa(s.Lead), strconv.Itoa(s.N), late, fmt.Sprintf("%.2f", s.CRPS),
			mean, regression, skill, fmt.Sprintf("%.0f %%", 100*s.Inside80),
		})
	}
	if len(rows) == 1 {
		return [][]string{{"No forecast can be scored: no stage was reported seen, or none was issued 3 to 56 days before."}}
	}
	return append(rows, []string{"(days; error above 0 is a median that came too late; skill is against the better of mean date and regression)"})
}
