package replay

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// Columns gives the columns of a file of reports; the first three must be there.
func Columns() []string { return slices.Clone(columns) }

var columns = []string{"site", "kind", "day", "person", "task", "tree", "bbch", "selfing", "control", "on", "at", "until", "count", "note"}

// evening is the hour, at the site, at which a report without a time is taken
// to have come: people report what they did when they are home.
const evening = 20

// ReadReports reads reports and answers from CSV with a header: site, kind and
// day, and where it matters person (else the site's lead), task, tree (its
// short name), bbch, selfing, control, on (the day promised, or the first of an
// absence), until (its last day), count (catkins), note (a problem) and at (when it
// came, as 2016-05-04 18:30 at the site or in RFC 3339; else the evening of
// its day). name is the file's, for messages. Every error names its line.
func ReadReports(r io.Reader, name string, p *config.Programme) ([]trail.Report, error) {
	c := csv.NewReader(r)
	c.FieldsPerRecord, c.TrimLeadingSpace, c.ReuseRecord = -1, true, true
	head, err := c.Read()
	if errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("%s is empty: the first line names the columns, %s", name, strings.Join(columns, ","))
	}
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w", name, err)
	}
	at, err := header(head)
	if err != nil {
		return nil, fmt.Errorf("%s:1: %w", name, err)
	}
	var out []trail.Report
	for {
		fields, err := c.Read()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, fmt.Errorf("reading %s: %w", name, err)
		}
		lineNo, _ := c.FieldPos(0)
		l := line{fields: fields, at: at, programme: p}
		report := l.report()
		if l.err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, lineNo, l.err)
		}
		report.ID = int64(len(out)) + 1
		out = append(out, report)
	}
}

// header gives the place of each column.
func header(head []string) (map[string]int, error) {
	at := map[string]int{}
	for i, h := range head {
		h = strings.ToLower(strings.TrimSpace(strings.TrimPrefix(h, "\ufeff")))
		if !slices.Contains(columns, h) {
			return nil, fmt.Errorf("there is no column %q: the columns are %s", h, strings.Join(columns, ", "))
		}
		if _, twice := at[h]; twice {
			return nil, fmt.Errorf("the column %s is there twice: remove one", h)
		}
		at[h] = i
	}
	for _, need := range columns[:3] {
		if _, ok := at[need]; !ok {
			return nil, fmt.Errorf("the column %s is missing: write it into the header and fill it in", need)
		}
	}
	return at, nil
}

// line is one line of a file of reports, and what is wrong with it first.
type line struct {
	fields    []string
	at        map[string]int
	programme *config.Programme
	err       error
}

func (l *line) wrong(format string, args ...any) {
	if l.err == nil {
		l.err = fmt.Errorf(format, args...)
	}
}

func (l *line) text(column string) string {
	i, ok := l.at[column]
	if !ok || i >= len(l.fields) {
		return ""
	}
	return strings.TrimSpace(l.fields[i])
}

func (l *line) number(column string, most int) int {
	text := l.text(column)
	if text == "" {
		return 0
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 || n > most {
		l.wrong("%s is %q: write a number from 0 to %d", column, text, most)
	}
	return n
}

func (l *line) day(column string) civil.Date {
	text := l.text(column)
	if text == "" {
		return 0
	}
	d, err := civil.Parse(text)
	if err != nil {
		l.wrong("%s: %w", column, err)
	}
	return d
}

func (l *line) report() trail.Report {
	site := l.site()
	r := trail.Report{
		Person: l.person(site), Site: site.Code, Task: l.task(), Kind: l.kind(), Tree: l.tree(site), BBCH: l.number("bbch", 99),
		Selfing: l.number("selfing", 99), Control: l.number("control", 99), Day: l.day("day"), On: l.day("on"), Way: "file",
		Until: l.day("until"), Count: l.number("count", 1_000_000), Note: l.text("note"),
	}
	if l.err != nil {
		return r
	}
	r.At = l.came(site, r.Day)
	l.fits(site, r)
	return r
}

func (l *line) site() (found config.Site) {
	for _, s := range l.programme.Sites {
		if s.Code == l.text("site") {
			return s
		}
	}
	l.wrong("no site is called %q: write a site's code", l.text("site"))
	return found
}

func (l *line) person(site config.Site) string {
	code := l.text("person")
	if code == "" {
		return site.Lead
	}
	if _, known := l.programme.Person(code); !known {
		l.wrong("no person is called %q: write a code of people.yml", code)
	}
	return code
}

func (l *line) task() string {
	task := strings.ReplaceAll(l.text("task"), "-", " ")
	if task != "" && !slices.Contains(call.Tasks, call.Task(task)) {
		l.wrong("no task is called %q: there are %q", task, call.Tasks)
	}
	return task
}

func (l *line) kind() trail.Kind {
	kind := trail.Kind(l.text("kind"))
	if !slices.Contains(trail.Kinds(), kind) {
		l.wrong("nothing is reported as %q: there are %q", kind, trail.Kinds())
	}
	return kind
}

func (l *line) tree(site config.Site) string {
	short := l.text("tree")
	if short != "" && l.err == nil && !slices.ContainsFunc(site.Trees, func(t trail.Tree) bool { return t.Short == short }) {
		l.wrong("%s has no tree %q: write the short name of one of its trees", site.Code, short)
	}
	return short
}

// came gives when a report came.
func (l *line) came(site config.Site, day civil.Date) time.Time {
	text := l.text("at")
	if text == "" {
		return day.In(site.Zone, evening, 0).UTC()
	}
	if at, err := time.Parse(time.RFC3339, text); err == nil {
		return at.UTC()
	}
	at, err := time.ParseInLocation("2006-01-02 15:04", text, site.Zone)
	if err != nil {
		l.wrong("at is %q: write it as 2016-05-04 18:30, in the site's time", text)
	}
	return at.UTC()
}

// fits refuses reports that say nothing, or what can't be.
func (l *line) fits(site config.Site, r trail.Report) {
	_, known := l.programme.Profiles[site.Profile].Find(stage.BBCH(r.BBCH))
	came := civil.At(r.At.In(site.Zone))
	switch {
	case r.Day == 0:
		l.wrong("day is empty: write the day on which it was done or seen")
	case r.Day > came:
		l.wrong("it came on %s and is of %s, a day to come: correct day or at", came, r.Day)
	case (r.Kind == trail.StageSeen || r.Kind == trail.NotYet) && !known:
		l.wrong("the profile %s has no stage %02d: write the code of one of its stages in bbch", site.Profile, r.BBCH)
	case (r.Kind == trail.BagsOn || r.Kind == trail.BagsOff || r.Kind == trail.BagsTorn || r.Kind == trail.Picked) && r.Tree == "":
		l.wrong("%q is said of a tree: write its short name in tree", r.Kind)
	case (r.Kind == trail.BagsOn || r.Kind == trail.Picked) && r.Selfing+r.Control == 0:
		l.wrong("%q of no bag or packet: write how many in selfing and control (of a tree with nothing to pick: nothing to pick)", r.Kind)
	case r.Kind == trail.Problem && r.Note == "":
		l.wrong("note is empty: write what the problem is")
	case r.Kind == trail.Away && (r.On == 0 || r.Until < r.On):
		l.wrong("an absence from %s until %s: write its first day in on and its last in until", r.On, r.Until)
	case r.Kind == trail.Going && r.On == 0:
		l.wrong("on is empty: write the day on which the person said to go")
	case r.Kind == trail.Going && r.On < came:
		l.wrong("on is %s, before the day of the answer, %s: correct one of them", r.On, came)
	}
}
