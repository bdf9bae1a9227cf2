package sheet

import (
	"strconv"

	"budcall/internal/call"
	"budcall/internal/trail"
	"budcall/internal/words"
)

func columns(names ...string) Table { return Table{Columns: names} }

func (s Season) calls() file {
	f := file{
		name:  "calls",
		Table: columns("site", "call", "standing", "reason", "first", "last", "since", "person", "changes"),
		shown: []string{"site", "call", "standing", "reason", "first", "last", "since", "person"},
	}
	for _, site := range s.Sites {
		for _, c := range site.Calls {
			n := 0
			for _, ch := range site.Changes {
				if ch.Task == c.Task {
					n++
				}
			}
			f.add(map[string]string{
				"site": site.Code, "call": string(c.Task), "standing": string(c.Standing), "reason": string(c.Reason),
				"first": isoOrEmpty(c.Days.First), "last": isoOrEmpty(c.Days.Last), "since": isoOrEmpty(c.Since), "person": c.With, "changes": strconv.Itoa(n),
			})
		}
	}
	return f
}

func (s Season) changes() file {
	f := file{name: "changes", Table: columns("site", "call", "at", "standing", "reason", "first", "last")}
	for _, site := range s.Sites {
		for _, c := range site.Changes {
			f.add(map[string]string{
				"site": site.Code, "call": string(c.Task), "at": site.moment(c.At), "standing": string(c.Standing), "reason": string(c.Reason),
				"first": isoOrEmpty(c.Days.First), "last": isoOrEmpty(c.Days.Last),
			})
		}
	}
	return f
}

func (s Season) told() file {
	f := file{
		name:  "told",
		Table: columns("site", "call", "at", "person", "passed", "standing", "reason", "letter", "state"),
		shown: []string{"site", "call", "at", "person", "passed", "standing", "reason", "state"},
	}
	for _, site := range s.Sites {
		for _, t := range site.Told {
			passed := ""
			if t.Passed {
				passed = yes
			}
			f.add(map[string]string{
				"site": site.Code, "call": string(t.Task), "at": site.moment(t.At), "person": t.Person, "passed": passed,
				"standing": string(t.Standing), "reason": string(t.Reason), "letter": t.Letter, "state": t.State,
			})
		}
	}
	return f
}

// spoken are the columns of answers and reports.
var spoken = []string{
	"number", "site", "day", "at", "person", "call", "kind", "tree", "bbch", "selfing", "control", "count", "on", "until", "note", "way", "said",
}

func (s Season) answers() file { return s.spoken("answers", true) }
func (s Season) reports() file { return s.spoken("reports", false) }

// spoken gives what people answered, or what they reported, as it came.
func (s Season) spoken(name string, answers bool) file {
	f := file{name: name, Table: columns(spoken...), shown: []string{"site", "day", "person", "call", "said", "at", "way"}}
	c := words.For(s.Lang)
	for _, site := range s.Sites {
		for _, r := range site.Reports {
			if r.Kind.Answer() != answers {
				continue
			}
			f.add(map[string]string{
				"number": strconv.FormatInt(r.ID, 10), "site": site.Code, "day": isoOrEmpty(r.Day), "at": site.moment(r.At), "person": r.Person,
				"call": r.Task, "kind": string(r.Kind), "tree": r.Tree, "bbch": stageOf(r), "selfing": counted(r, r.Selfing),
				"control": counted(r, r.Control), "count": unlessZero(r.Count), "on": isoOrEmpty(r.On), "until": isoOrEmpty(r.Until),
				"note": canonical(r.Note), "way": r.Way, "said": canonical(c.Report(r)),
			})
		}
	}
	return f
}

// stageOf gives the stage that a report is about; 00 is one as well.
func stageOf(r trail.Report) string {
	if r.Kind == trail.StageSeen || r.Kind == trail.NotYet {
		return strconv.Itoa(r.BBCH)
	}
	return unlessZero(r.BBCH)
}

// taskNamed is a call as the page says it.
func taskNamed(c *words.Catalogue, v string) string {
	if v == "" {
		return ""
	}
	return c.Task(call.Task(v))
}
