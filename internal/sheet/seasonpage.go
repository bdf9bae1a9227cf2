package sheet

import (
	"bytes"
	_ "embed"
	"html/template"
	"strconv"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/words"
)

//go:embed season.html
var seasonHTML string

var seasonPage = template.Must(template.New("season").Parse(seasonHTML))

// Page gives the season as one page in HTML (UTF-8) that needs nothing else: no
// script, font or picture is fetched. What it shows are the rows of the tables,
// but for forecasts, of which it shows the newest of each stage.
func (s Season) Page() []byte {
	p := s.page()
	var b bytes.Buffer
	if err := seasonPage.Execute(&b, p); err != nil {
		panic(err) // the template and its values are ours, and a Buffer takes everything
	}
	return b.Bytes()
}

// seasonView is the page as it is written.
type seasonView struct {
	Lang, Title, Written, Files, Foot string
	Facts                             []string
	Parts                             []partView
}

// partView is one table on the page.
type partView struct {
	ID, Head, Note, None string
	Heads                []string
	Rows                 [][]cellView
}

// cellView is a cell with its heading, which a phone shows beside it.
type cellView struct{ Head, Text string }

func (s Season) page() seasonView {
	c := words.For(s.Lang)
	year := strconv.Itoa(s.Year)
	v := seasonView{
		Lang: c.Lang(), Title: c.Text(words.SeasonTitle, words.Args{"programme": s.Programme, "year": year}),
		Written: c.Text(words.SeasonWritten, words.Args{"moment": c.MomentYear(s.At)}),
		Files:   c.Text(words.SeasonFiles), Foot: c.Text(words.PageVersion, words.Args{"version": s.Version}),
	}
	for _, f := range s.files() {
		part := s.part(c, f)
		v.Parts = append(v.Parts, part)
		v.Facts = append(v.Facts, c.Text(words.SeasonFact, words.Args{"head": part.Head, "n": strconv.Itoa(len(f.Table.Rows))}))
	}
	return v
}

// part gives a table as the page shows it.
func (s Season) part(c *words.Catalogue, f file) partView {
	heads := seasonParts[f.name]
	part := partView{ID: f.name, Head: c.Text(heads.head), Note: c.Text(heads.note, words.Args{"file": f.name + ".csv"}), None: c.Text(words.SeasonNone)}
	shown, rows := f.shown, f.Table.Rows
	if shown == nil {
		shown = f.Table.Columns
	}
	if f.name == "forecasts" {
		rows = newest(rows)
	}
	for _, column := range shown {
		part.Heads = append(part.Heads, c.Text(columnHeads[column]))
	}
	for _, r := range rows {
		cells := make([]cellView, len(shown))
		for i, column := range shown {
			cells[i] = cellView{Head: part.Heads[i], Text: s.say(c, column, r)}
			if f.name == "told" && column == "person" && cells[i].Text == "" {
				cells[i].Text = c.Text(words.SeasonNobody)
			}
		}
		part.Rows = append(part.Rows, cells)
	}
	return part
}

// say gives a value of a row in words for people.
func (s Season) say(c *words.Catalogue, column string, r Row) string {
	v := r.Text(column)
	switch column {
	case "standing":
		return c.Standing(call.Standing(v))
	case "person", "placed_by":
		return s.person(v)
	}
	if v == "" {
		return ""
	}
	switch column {
	case "site":
		return s.site(v)
	case "call":
		return taskNamed(c, v)
	case "reason":
		return c.ReasonFor(call.Task(r.Text("call")), call.Reason(v))
	case "bbch":
		n, _ := strconv.Atoi(v) // ours: it was written by Itoa
		return c.Stage(n)
	case "at":
		return localMoment(c, v)
	case "passed", "gone", "bears":
		return c.Flag(v)
	case "kind":
		return c.Kind(v)
	case "state":
		return c.State(v)
	case "doubt":
		return c.Doubt(v)
	case "way":
		return c.Way(v)
	case "error_days", "crps_days", "mean_date_days", "regression_days", "ratio", "ratio_low", "ratio_high":
		return c.Figure(v)
	case "first", "last", "since", "day", "on", "until", "seen", "not_yet", "issued", "p10", "p50", "p90", "picked", "received", "off", "doubtful_since", "placed":
		if d, err := civil.Parse(v); err == nil {
			return c.Day(d)
		}
	}
	return v
}

// person gives the name under a code; a code that nobody has is given itself.
func (s Season) person(code string) string {
	if name, ok := s.People[code]; ok {
		return name
	}
	return code
}

func (s Season) site(code string) string {
	for _, site := range s.Sites {
		if site.Code == code && site.Name != "" {
			return site.Name
		}
	}
	return code
}

// localMoment gives a moment of a table as its own clock read.
func localMoment(c *words.Catalogue, v string) string {
	t, err := time.Parse(stamp, v)
	if err != nil {
		return v
	}
	return c.Moment(t)
}
