package sheet

import (
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"budcall/internal/config"
)

// The files in which the config keeps what tables hold.
const (
	peopleFile = "people.yml"
	sitesDir   = "sites"
)

// FromConfig gives the sites, people or trees that stand in the files of a
// config folder, as they stand there: what a file leaves out is empty here,
// whatever then holds. The files must pass the config's own check.
func FromConfig(k Kind, files config.Files) (Table, error) {
	t := Table{Kind: k, Columns: Columns(k)}
	for _, name := range placesOf(k, files) {
		doc, err := parseFile(name, files[name])
		if err != nil {
			return t, err
		}
		for _, at := range records(k, doc) {
			t.Rows = append(t.Rows, recordRow(k, at, doc))
		}
	}
	t.Found = len(t.Rows)
	return t, nil
}

// placesOf gives the files that hold a kind, in the order in which the config
// reads them.
func placesOf(k Kind, files config.Files) []string {
	if k == People {
		return []string{peopleFile}
	}
	var names []string
	for name := range files {
		if path.Dir(name) == sitesDir && path.Ext(name) == ".yml" && !strings.HasPrefix(path.Base(name), ".") {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// parseFile gives the settings of a file.
func parseFile(name string, content []byte) (*yaml.Node, error) {
	var doc yaml.Node
	if err := yaml.Unmarshal(content, &doc); err != nil {
		return nil, fmt.Errorf("reading %s: %w (`budcall check` says more)", name, err)
	}
	if len(doc.Content) == 0 || doc.Content[0].Kind != yaml.MappingNode {
		return nil, fmt.Errorf("reading %s: there are no settings in it (`budcall check` says more)", name)
	}
	return doc.Content[0], nil
}

// records gives the groups of settings that are things of a kind.
func records(k Kind, doc *yaml.Node) []*yaml.Node {
	list := doc
	switch k {
	case Sites:
		return []*yaml.Node{doc}
	case People:
		list = setting(doc, "people")
	case Trees:
		list = setting(doc, "trees")
	}
	var out []*yaml.Node
	if list != nil && list.Kind == yaml.SequenceNode {
		for _, n := range list.Content {
			if n = target(n); n.Kind == yaml.MappingNode {
				out = append(out, n)
			}
		}
	}
	return out
}

// recordRow gives one thing as a row.
func recordRow(k Kind, n, doc *yaml.Node) Row {
	r := Row{Line: n.Line, Values: map[string]string{}}
	for _, c := range forms[k].columns {
		r.Values[c.name] = written(c.name, setting(n, c.name))
	}
	if k == Trees {
		r.Values["site"] = written("code", setting(doc, "code"))
	}
	return r
}

// written gives a setting in the form that a table's values have.
func written(column string, n *yaml.Node) string {
	switch {
	case n == nil || n.Tag == "!!null":
		return ""
	case n.Kind == yaml.SequenceNode:
		var list []string
		for _, item := range n.Content {
			list = append(list, trimmed(target(item).Value))
		}
		return canonicalList(column, list)
	}
	v := canonical(n.Value)
	switch {
	case column == "gone" && v == "true":
		return yes
	case column == "gone":
		return ""
	case column == "can_go":
		return strings.ToLower(v)
	case numbers[column]:
		if f, err := strconv.ParseFloat(v, 64); err == nil {
			return shortest(f)
		}
	}
	return v
}

func canonicalList(column string, list []string) string {
	text := strings.Join(list, " ")
	if column == "can_go" {
		if days, f := weekdays(cell{text: text}, marks{}); f == nil {
			return days
		}
	}
	return text
}

// setting gives a value of a group by its name, nil where it isn't there.
func setting(n *yaml.Node, name string) *yaml.Node {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == name {
			return target(n.Content[i+1])
		}
	}
	return nil
}

// target follows a reference to the value it stands for.
func target(n *yaml.Node) *yaml.Node {
	if n.Kind == yaml.AliasNode && n.Alias != nil {
		return n.Alias
	}
	return n
}
