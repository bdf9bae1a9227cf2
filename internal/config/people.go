package config

import (
	"fmt"
	"strings"

	"budcall/internal/civil"
	"budcall/internal/season"
)

// readPeople reads everybody who can be called.
func (r *reading) readPeople() {
	top := r.open(peopleFile).section()
	people := top.need("people", "a list of people, each with code, name and email")
	r.people.partial = !people.set() // whoever is referred to may stand in what can't be read
	for _, e := range people.list() {
		r.readPerson(e.section())
	}
	top.done()
}

func (r *reading) readPerson(s *section) {
	code := s.need("code", personForm.cure)
	p := Person{
		Code:  code.code(personForm),
		Name:  s.need("name", "the name as mails greet them").text(),
		Email: s.need("email", "name@domain").email(),
		Phone: s.get("phone").phone(),
		Zone:  r.zoneOr(s.get("zone")),
		Lang:  orElse(s.get("lang").choice("en", "fi", "sv"), "en"),
		CanGo: s.get("can_go").weekdays(),
		Away:  s.get("away").absences(),
		Role:  s.get("role").text(),
	}
	r.people.define(code, p.Code)
	r.programme.People = append(r.programme.People, p)
	s.done()
}

// absences gives the times in which somebody is away: days, or first and last
// ones with "to" between.
func (e entry) absences() (out []civil.Range) {
	for _, item := range e.list() {
		text := item.text()
		from, to, several := strings.Cut(text, " to ")
		if !several {
			to = from
		}
		first, err1 := civil.Parse(strings.TrimSpace(from))
		last, err2 := civil.Parse(strings.TrimSpace(to))
		switch {
		case text == "":
		case err1 != nil || err2 != nil:
			item.problem(fmt.Sprintf("%q is no absence", clip(text)), "write 2031-05-05, or 2031-05-05 to 2031-05-12")
		case last < first:
			item.problem(fmt.Sprintf("%s comes before %s", last, first), "write the first day before the last: 2031-05-05 to 2031-05-12")
		case last-first > mostAwayDays:
			item.problem(fmt.Sprintf("%q is more than a year", clip(text)), "correct the year; for somebody who has left, take them out of the sites' files")
		default:
			out = append(out, civil.Range{First: first, Last: last})
		}
	}
	return out
}

// mostAwayDays is the longest absence that isn't rather a slip in the year: our
// assumption.
const mostAwayDays = 366

// phone gives a number as people write it: digits, blanks and - / ( ) . + x.
func (e entry) phone() string {
	value := e.text()
	strange := strings.ContainsFunc(value, func(r rune) bool { return !strings.ContainsRune("0123456789 -/().+x", r) })
	digits := 0
	for _, c := range value {
		if c >= '0' && c <= '9' {
			digits++
		}
	}
	if value != "" && (strange || digits < 3 || digits > 20) {
		e.problem(fmt.Sprintf("%q is no phone number", clip(value)), "write it in full, in quotes: \"+358 0 000 0001\"")
		return ""
	}
	return value
}

// weekdays gives the days of the week on which somebody can go; any day where
// it isn't set.
func (e entry) weekdays() season.Weekdays {
	if !e.set() {
		return 0
	}
	if text, ok := scalarOf(e.node); ok {
		return e.weekdaysInOneWord(text)
	}
	var days season.Weekdays
	items := e.list()
	for _, item := range items {
		days |= item.weekday()
	}
	if len(items) == 0 {
		e.problem("names no day", "write [sat, sun], or any")
	}
	return days
}

func (e entry) weekdaysInOneWord(text string) season.Weekdays {
	var days season.Weekdays
	for _, w := range weekdayNames {
		weekend := w.name == "sat" || w.name == "sun"
		if text == "weekends" && weekend || text == "workdays" && !weekend {
			days = days.On(w.day)
		}
	}
	if days == 0 && text != "any" {
		e.problem(fmt.Sprintf("%q is not known here", clip(text)), "write any, weekends, workdays or a list such as [fri, sat, sun]")
	}
	return days
}

func (e entry) weekday() season.Weekdays {
	text := e.text()
	for _, w := range weekdayNames {
		if strings.EqualFold(text, w.name) || strings.EqualFold(text, w.day.String()) {
			return season.Weekdays(0).On(w.day)
		}
	}
	if text != "" {
		e.problem(fmt.Sprintf("%q is no day of the week", clip(text)), "one of mon, tue, wed, thu, fri, sat, sun")
	}
	return 0
}

// namesOf writes weekdays as people do.
func namesOf(days season.Weekdays) string {
	var names []string
	for _, w := range weekdayNames {
		if days&season.Weekdays(0).On(w.day) != 0 {
			names = append(names, w.name)
		}
	}
	if len(names) == 0 || len(names) == 7 {
		return "any day"
	}
	return strings.Join(names, " ")
}
