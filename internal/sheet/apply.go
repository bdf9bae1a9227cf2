package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"budcall/internal/config"
)

// ErrNotClear is what Apply answers to a plan with conflicts or rejects.
var ErrNotClear = errors.New("nothing is applied while there are conflicts or rejects: all of a table or nothing")

// Apply gives the config files that a plan changes, with their new content:
// only the settings concerned differ, every other byte stays. The problems are
// those that the config's own check finds in the whole; then no file is given.
// Plans of other kinds than sites, people and trees have no files.
func (p Plan) Apply(files config.Files, zones config.Zones) (config.Files, []config.Problem, error) {
	if !p.Clear() {
		return nil, nil, ErrNotClear
	}
	changed, err := p.edited(files)
	if err != nil {
		return nil, nil, err
	}
	whole := maps.Clone(files)
	maps.Copy(whole, changed)
	if _, problems := config.Parse(whole, zones); len(problems) > 0 {
		return nil, problems, nil
	}
	if err := p.verify(files, whole); err != nil {
		return nil, nil, err
	}
	return changed, nil, nil
}

// edited gives the files that change.
func (p Plan) edited(files config.Files) (config.Files, error) {
	w := &writing{plan: p, files: files, editors: map[string]*editor{}, docs: map[string]*yaml.Node{}, created: config.Files{}}
	for _, c := range p.Changes {
		if err := w.change(c); err != nil {
			return nil, err
		}
	}
	for _, r := range p.Adds {
		if err := w.add(r); err != nil {
			return nil, err
		}
	}
	out := w.created
	for name, e := range w.editors {
		body, err := e.result()
		if err != nil {
			return nil, err
		}
		if !bytes.Equal(body, files[name]) {
			out[name] = body
		}
	}
	return out, nil
}

// writing is a plan being written into files.
type writing struct {
	plan    Plan
	files   config.Files
	editors map[string]*editor
	docs    map[string]*yaml.Node
	created config.Files
}

// open gives a file to edit.
func (w *writing) open(name string) (*editor, *yaml.Node, error) {
	if e, ok := w.editors[name]; ok {
		return e, w.docs[name], nil
	}
	doc, err := parseFile(name, w.files[name])
	if err != nil {
		return nil, nil, err
	}
	w.editors[name], w.docs[name] = newEditor(name, w.files[name]), doc
	return w.editors[name], doc, nil
}

// change writes the columns that change.
func (w *writing) change(c Change) error {
	for _, name := range placesOf(w.plan.Kind, w.files) {
		e, doc, err := w.open(name)
		if err != nil {
			return err
		}
		for _, n := range records(w.plan.Kind, doc) {
			if written("code", setting(n, "code")) != c.Row.Text("code") {
				continue
			}
			// What goes, goes first: nothing is to be put behind it.
			cells := slices.Clone(c.Cells)
			slices.SortStableFunc(cells, func(a, b Cell) int { return min(len(a.New), 1) - min(len(b.New), 1) })
			for _, cell := range cells {
				e.set(n, cell.Column, setAs(w.plan.Kind, cell.Column, cell.New))
			}
			return nil
		}
	}
	return fmt.Errorf("%s is in no file of the configuration", c.Key)
}

// add writes a new thing.
func (w *writing) add(r Row) error {
	switch w.plan.Kind {
	case People:
		e, doc, err := w.open(peopleFile)
		if err != nil {
			return err
		}
		return appendTo(e, doc, "people", settingsOf(People, r))
	case Trees:
		return w.addTree(r)
	case Sites:
		name := sitesDir + "/" + strings.ToLower(r.Text("code")) + ".yml"
		if _, there := w.files[name]; there {
			return fmt.Errorf("%s is there already and holds another site: rename it, or add %s by hand", name, r.Text("code"))
		}
		w.created[name] = []byte(joined(settingsOf(Sites, r), "\n") + "\n\ntrees: []\n")
		return nil
	}
	return fmt.Errorf("%s don't stand in the configuration", w.plan.Kind)
}

func (w *writing) addTree(r Row) error {
	for _, name := range placesOf(Sites, w.files) {
		e, doc, err := w.open(name)
		if err != nil {
			return err
		}
		if written("code", setting(doc, "code")) != r.Text("site") {
			continue
		}
		settings := settingsOf(Trees, r)
		return appendTo(e, doc, "trees", settings)
	}
	return fmt.Errorf("%s: no site has the code %s, which %s is to stand at: import the site first", w.plan.File, r.Text("site"), r.Text("code"))
}

func appendTo(e *editor, doc *yaml.Node, name string, settings [][2]string) error {
	list := setting(doc, name)
	if list == nil || list.Kind != yaml.SequenceNode {
		return fmt.Errorf("%s has no list of %s to add to: write \"%s: []\" in it", e.file, name, name)
	}
	e.appendItem(list, settings)
	return nil
}

// settingsOf gives a row as settings, those with a value, in the usual order.
func settingsOf(k Kind, r Row) [][2]string {
	var out [][2]string
	for _, c := range Columns(k) {
		if v := setAs(k, c, r.Values[c]); v != "" && !(k == Trees && c == "site") {
			out = append(out, [2]string{c, v})
		}
	}
	return out
}

// setAs writes a table's value as a setting; "" stays.
func setAs(k Kind, column, value string) string {
	switch {
	case value == "":
		return ""
	case column == "gone":
		return "true"
	case column == "stations", column == "can_go" && strings.Contains(value, " "), column == "can_go" && dayNamed(value) >= 0:
		return "[" + strings.Join(strings.Fields(value), ", ") + "]"
	case numbers[column]:
		return value
	case column == "phone":
		return `"` + value + `"`
	}
	return yamlText(value)
}

// verify holds the new files against what was planned: the things of the plan
// as planned, everything else as before.
func (p Plan) verify(before, after config.Files) error {
	now, err := FromConfig(p.Kind, after)
	if err != nil {
		return err
	}
	again := Compare(now, p.table)
	if !again.Empty() || !again.Clear() {
		return fmt.Errorf("writing %s into the configuration didn't come out as planned: change it by hand", p.File)
	}
	for name, content := range before {
		if a, b := rest(p.Kind, content), rest(p.Kind, after[name]); !reflect.DeepEqual(a, b) {
			return fmt.Errorf("writing %s would have changed more of %s than was planned: change it by hand", p.File, name)
		}
	}
	return nil
}

// rest gives what a file holds beside the columns of a kind.
func rest(k Kind, content []byte) any {
	var doc map[string]any
	if err := yaml.Unmarshal(content, &doc); err != nil {
		return err.Error()
	}
	switch k {
	case Sites:
		for _, c := range Columns(Sites) {
			delete(doc, c)
		}
	case People:
		delete(doc, "people")
	case Trees:
		delete(doc, "trees")
	}
	return doc
}
