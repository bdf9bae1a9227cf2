package config

import (
	"fmt"
	"slices"

	"budcall/internal/civil"
	"budcall/internal/season"
)

// Editing is what the people of a site may change in the site's file by a page
// or a mail. The coordinators may change everything.
type Editing struct {
	Approval bool            // by the coordinator, of what others change
	Calls    map[string]Span // settings under calls:, by key, and how far
	Lines    []string        // other lines of the file that may be changed, sorted
}

// Span is how far a setting may be changed, both ends included. Of a day of the
// year the ends are 100 times its month and its day.
type Span struct{ Low, High float64 }

// noEditing is the word for a setting that nobody but the coordinators changes.
const noEditing = "never"

// editLines are the lines of a site's file beside calls: that may be given free.
var editLines = []string{"altitude_m", "deputy", "forecast", "lat_deg", "lead", "lon_deg", "name", "normals", "profile", "stations", "trees", "zone"}

// usualEditing gives what holds where the programme says nothing: the settings
// that follow from a place and its people, within bounds that are our
// assumptions; never the chances and weights that decide on the days.
func usualEditing() Editing {
	day := func(m, d float64) float64 { return 100*m + d }
	return Editing{Approval: true, Lines: []string{"deputy", "lead", "name"}, Calls: map[string]Span{
		"transit_days": {1, 21}, "plan_ahead_days": {5, 35}, "max_lead_days": {14, 35}, "min_days": {3, 10}, "hurry_days": {1, 4},
		"tell_again_after_days": {2, 7}, "tell_moves_within_days": {1, 14}, "max_on_days": {7, 28}, "season_end": {day(9, 1), day(10, 31)},
		"answer_hours": {6, 72}, "rest_from_hour": {18, 23}, "rest_until_hour": {5, 10}, "survey_from": {day(2, 15), day(4, 15)}, "survey_days": {7, 42},
		"strong_gust_ms": {12, 30}, "strong_wind_ms": {8, 20}, "check_after_days": {5, 21}, "check_days": {2, 5}, "lot_days": {3, 21},
	}}
}

// readEditing reads what may be changed by a page or a mail.
func readEditing(e entry) Editing {
	s, out := e.section(), usualEditing()
	out.Approval = orElse(s.get("approval").choice("coordinator", "none"), "coordinator") == "coordinator"
	if lines := s.get("lines"); lines.set() {
		out.Lines = lines.editLines()
	}
	for _, c := range callSettings {
		span := s.get(c.key)
		if text, one := scalarOf(span.node); one && text == noEditing {
			delete(out.Calls, c.key)
		} else if span.set() {
			if read, ok := span.span(c); ok {
				out.Calls[c.key] = read
			}
		}
	}
	s.done()
	return out
}

func (e entry) editLines() []string {
	out := []string{}
	for _, item := range e.list() {
		if line := item.choice(editLines...); line != "" && !slices.Contains(out, line) {
			out = append(out, line)
		}
	}
	slices.Sort(out)
	return out
}

// span reads how far a setting may be changed: [lowest, highest].
func (e entry) span(c setting) (Span, bool) {
	cure := "write the lowest and the highest, such as [14, 35], or " + noEditing
	ends := e.list()
	if len(ends) != 2 {
		if e.node != nil && kindOf(e.node) == "a list" {
			e.problem(fmt.Sprintf("has %d values", len(ends)), cure)
		}
		return Span{}, false
	}
	var values [2]float64
	for i, end := range ends {
		before := len(e.found.problems)
		var s season.Settings
		end.into(c.at(&s), c.bounds)
		if len(e.found.problems) > before {
			return Span{}, false
		}
		values[i] = measure(c.at(&s))
	}
	if values[0] > values[1] {
		e.problem("ends before it begins", cure)
		return Span{}, false
	}
	return Span{values[0], values[1]}, true
}

// measure gives a setting as a number that can be compared.
func measure(field any) float64 {
	switch v := field.(type) {
	case *int:
		return float64(*v)
	case *float64:
		return *v
	case *civil.MonthDay:
		return float64(100*int(v.Month) + v.Day)
	}
	return hours(field)
}

// Allowed is a setting that may be changed, as people write it.
type Allowed struct{ Key, Low, High string }

// Allowed lists the settings under calls: that may be changed, in the order of a
// season.
func (ed Editing) Allowed() (out []Allowed) {
	for _, c := range callSettings {
		if span, ok := ed.Calls[c.key]; ok {
			out = append(out, Allowed{c.key, c.said(span.Low), c.said(span.High)})
		}
	}
	return out
}

// said writes an end of a span as people do.
func (c setting) said(v float64) string {
	var s season.Settings
	if day, ok := c.at(&s).(*civil.MonthDay); ok {
		*day = civil.MonthDay{Month: monthOf(v), Day: int(v) % 100}
		return shown(c.key, s)
	}
	return plain(v)
}

// Changed is one line in which two versions of a site's file differ.
type Changed struct {
	Path   string `json:"path"`              // such as calls.max_lead_days
	Before string `json:"was,omitempty"`     // as written, on one line; empty: it wasn't set
	After  string `json:"becomes,omitempty"` // empty: it isn't set any more
}

// Check gives the lines of a site's file that differ from the one before it,
// and those that may not be changed so, each with what to do. file is its name,
// for problems. What is wrong with the file otherwise is Parse's to find.
func (ed Editing) Check(file string, before, after []byte) (changed []Changed, problems []Problem) {
	var found findings
	old, now := sectionOf(file, before), document(&found, file, after).section()
	if len(found.problems) > 0 {
		return nil, nil // no YAML: Parse says where
	}
	for _, d := range differingLines(old, now) {
		changed = append(changed, Changed{Path: d.path(), Before: written(d.old.node), After: written(d.now.node)})
		if what, cure := ed.refusal(d); what != "" {
			at := d.now
			at.path, at.line = d.path(), max(at.line, 1)
			at.problem(what, cure)
		}
	}
	return changed, inOrder(now.found.problems)
}

// refusal says why a line may not be changed so, and what to do; empty where it
// may.
func (ed Editing) refusal(d lineChange) (what, cure string) {
	ask := "leave it as it is, or ask the coordinator"
	if !d.calls {
		switch {
		case d.key == "code":
			return "names the site for good", "leave it as it is"
		case !slices.Contains(ed.Lines, d.key):
			return "can't be changed by a page or a mail", ask
		}
		return "", ""
	}
	span, ok := ed.Calls[d.key]
	if !ok && isCallSetting(d.key) {
		return "can't be changed by a page or a mail", ask
	}
	i := slices.IndexFunc(callSettings, func(c setting) bool { return c.key == d.key })
	if i < 0 || !d.now.set() {
		return "", "" // unknown, which Parse says, or the programme's own value again
	}
	c, quiet := callSettings[i], findings{}
	var s season.Settings
	value := d.now
	value.found = &quiet
	value.into(c.at(&s), c.bounds)
	if v := measure(c.at(&s)); len(quiet.problems) == 0 && (v < span.Low || v > span.High) {
		return fmt.Sprintf("%s is outside %s to %s, which the coordinator has set", written(d.now.node), c.said(span.Low), c.said(span.High)), ask
	}
	return "", ""
}

// said says who decides on what a site's people change.
func (ed Editing) said() string {
	if ed.Approval {
		return "may be changed by a page or a mail within bounds, once a coordinator approves"
	}
	return "may be changed by a page or a mail within bounds"
}
