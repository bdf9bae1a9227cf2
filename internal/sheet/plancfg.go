package sheet

import (
	"maps"
	"regexp"
	"slices"
	"strings"

	"budcall/internal/config"
)

// Check has the config's own check look at what the rows that are left of a
// plan would make of the files, and rejects the rows that what it finds comes
// from. It gives the problems that come from no single row, in the files as they
// would be. Plans of other kinds than sites, people and trees have no files.
func (p *Plan) Check(files config.Files, zones config.Zones) ([]config.Problem, error) {
	if p.Kind == Trees {
		if err := p.checkSites(files); err != nil {
			return nil, err
		}
	}
	if p.Empty() {
		return nil, nil
	}
	changed, err := p.edited(files)
	if err != nil {
		return nil, err
	}
	whole := maps.Clone(files)
	maps.Copy(whole, changed)
	_, problems := config.Parse(whole, zones)
	var others []config.Problem
	var wrongRows []Row
	for _, problem := range problems {
		r, ok := p.rowOf(problem, whole)
		if !ok {
			others = append(others, problem)
			continue
		}
		column := p.columnOf(problem)
		f := wrong(Refused, problem.Cure, "%s", problem.What)
		p.Rejects = append(slices.Clip(p.Rejects), *p.table.rejected(r.Line, slices.Index(p.table.Columns, column), column, f))
		wrongRows = append(wrongRows, r)
	}
	for _, r := range wrongRows {
		p.Drop(r)
	}
	slices.SortStableFunc(p.Rejects, func(a, b Reject) int { return a.Line - b.Line })
	return others, nil
}

// checkSites finds trees to add that would stand at no site.
func (p *Plan) checkSites(files config.Files) error {
	sites, err := FromConfig(Sites, files)
	if err != nil {
		return err
	}
	var known []string
	for _, r := range sites.Rows {
		known = append(known, r.Text("code"))
	}
	p.Adds = slices.DeleteFunc(p.Adds, func(r Row) bool {
		missing := !slices.Contains(known, r.Text("site"))
		if missing {
			p.conflict(r, "site", Unknown, "one of "+strings.Join(known, ", ")+"; or import the site first", "no site has the code %s, which %s is to stand at", r.Text("site"), r.Text("code"))
		}
		return missing
	})
	slices.SortStableFunc(p.Conflicts, func(a, b Reject) int { return a.Line - b.Line })
	return nil
}

// rowOf gives the row that a problem comes from: that of the thing which stands
// where the problem is.
func (p *Plan) rowOf(problem config.Problem, files config.Files) (Row, bool) {
	list := map[Kind]string{People: "people[", Trees: "trees["}[p.Kind]
	if !slices.Contains(placesOf(p.Kind, files), problem.File) || !strings.HasPrefix(problem.Path, list) {
		return Row{}, false
	}
	doc, err := parseFile(problem.File, files[problem.File])
	if err != nil {
		return Row{}, false
	}
	if p.Kind == Sites && p.columnOf(problem) == "" {
		return Row{}, false // of trees, or of what tables don't hold
	}
	code := ""
	for _, at := range records(p.Kind, doc) {
		if p.Kind == Sites || at.Line <= problem.Line {
			code = written("code", setting(at, "code"))
		}
	}
	for _, r := range p.Adds {
		if r.Text("code") == code {
			return r, true
		}
	}
	for _, c := range p.Changes {
		if c.Row.Text("code") == code {
			return c.Row, true
		}
	}
	return Row{}, false
}

var indexed = regexp.MustCompile(`\[\d+\]$`)

// columnOf gives the column that a problem is of, none where it is of what the
// tables of the kind don't hold.
func (p *Plan) columnOf(problem config.Problem) string {
	name := problem.Path
	if p.Kind != Sites {
		name = name[strings.LastIndex(name, ".")+1:]
	}
	name = indexed.ReplaceAllString(name, "")
	if !slices.Contains(Columns(p.Kind), name) {
		return ""
	}
	return name
}
