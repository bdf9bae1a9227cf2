package sheet

import (
	"encoding/json"
	"regexp"
	"strings"

	"go.yaml.in/yaml/v3"
)

// set gives a setting of a group another value; "" takes it away.
func (e *editor) set(group *yaml.Node, key, value string) {
	for i := 0; i+1 < len(group.Content); i += 2 {
		if k, v := group.Content[i], group.Content[i+1]; k.Value == key {
			switch {
			case value == "":
				e.remove(group, i)
			case v.Tag == "!!null" && v.Value == "":
				e.afterColon(k, value)
			default:
				e.change(k, v, value)
			}
			return
		}
	}
	if value != "" {
		e.insert(group, key, value)
	}
}

// change writes another value where one stands.
func (e *editor) change(k, v *yaml.Node, value string) {
	from, to, ok := e.extent(v)
	if !ok || v.Kind == yaml.MappingNode {
		e.refuse(v, k.Value+" is written over several lines or by reference")
		return
	}
	if v.Kind == yaml.SequenceNode && v.Style&yaml.FlowStyle == 0 { // a list with a line for each becomes [a, b]
		_, colon, ok := e.extent(k)
		if !ok {
			e.refuse(k, k.Value+" is written unusually")
			return
		}
		e.replace(colon, to, ": "+value)
		return
	}
	e.replace(from, to, value)
}

// afterColon writes a value where a setting has none.
func (e *editor) afterColon(k *yaml.Node, value string) {
	_, end, ok := e.extent(k)
	if !ok || !strings.HasPrefix(e.text[end:], ":") {
		e.refuse(k, k.Value+" is written unusually")
		return
	}
	e.replace(end+1, end+1, " "+value)
}

// remove takes a setting away, with its line.
func (e *editor) remove(group *yaml.Node, i int) {
	k, v := group.Content[i], group.Content[i+1]
	from, keyEnd, ok1 := e.extent(k)
	_, to, ok2 := e.extent(v)
	if v.Tag == "!!null" && v.Value == "" {
		to, ok2 = keyEnd+1, true
	}
	e.gone[k] = true
	if !ok1 || !ok2 || i == 0 {
		e.refuse(k, k.Value+" is the first of its group, or written unusually")
		return
	}
	if group.Style&yaml.FlowStyle != 0 {
		before := strings.TrimRight(e.text[:from], " \n\t")
		if !strings.HasSuffix(before, ",") {
			e.refuse(k, k.Value+" is written unusually")
			return
		}
		e.replace(len(before)-1, to, "")
		return
	}
	e.replace(e.lineStart(from), min(e.lineEnd(to)+1, len(e.text)), "")
}

// insert writes a setting that a group doesn't have yet, behind its last plain
// one, so that it doesn't end up below a list of dozens.
func (e *editor) insert(group *yaml.Node, key, value string) {
	after := -1
	for i := 0; i+1 < len(group.Content); i += 2 {
		v := group.Content[i+1]
		if _, _, ok := e.extent(v); ok && !e.gone[group.Content[i]] && (v.Kind == yaml.ScalarNode || v.Style&yaml.FlowStyle != 0) {
			after = i
		}
	}
	if after < 0 {
		e.refuse(group, key+" is to be added to a group without plain settings")
		return
	}
	_, to, _ := e.extent(group.Content[after+1])
	if group.Style&yaml.FlowStyle != 0 {
		e.replace(to, to, ", "+key+": "+value)
		return
	}
	first := e.offset(group.Content[0])
	indent := strings.Repeat(" ", first-e.lineStart(first))
	end := e.lineEnd(to)
	e.replace(end, end, "\n"+indent+key+": "+value)
}

// appendItem writes a new group behind the last of a list, laid out as that one.
func (e *editor) appendItem(list *yaml.Node, settings [][2]string) {
	if list.Style&yaml.FlowStyle != 0 && len(list.Content) > 0 || len(list.Content) > 0 && list.Content[len(list.Content)-1].Kind != yaml.MappingNode {
		e.refuse(list, "the list is written in brackets or by reference")
		return
	}
	from, to, ok := e.extent(list)
	if !ok {
		e.refuse(list, "the list is written unusually")
		return
	}
	if len(list.Content) == 0 { // []
		e.fillBrackets(from, to, settings)
		return
	}
	last := list.Content[len(list.Content)-1]
	item := e.offset(last)
	begins := e.lineStart(item)
	before := e.text[begins:item] // "  - "
	if strings.Trim(before, " -") != "" {
		e.refuse(last, "the last of the list is written unusually")
		return
	}
	end := e.lineEnd(to)
	if last.Style&yaml.FlowStyle != 0 {
		e.replace(end, end, "\n"+before+"{"+joined(settings, ", ")+"}")
		return
	}
	gap := "\n"
	if begins > 1 && strings.HasSuffix(strings.TrimRight(e.text[:begins], " "), "\n\n") {
		gap = "\n\n"
	}
	e.replace(end, end, gap+before+joined(settings, "\n"+strings.Repeat(" ", len(before))))
}

// fillBrackets writes an item into an empty list, [], which becomes one with a
// line for each. Of several items, only the first takes the brackets away.
func (e *editor) fillBrackets(from, to int, settings [][2]string) {
	begins := e.lineStart(from)
	indent := e.text[begins : begins+len(e.text[begins:])-len(strings.TrimLeft(e.text[begins:], " "))]
	bare := len(strings.TrimRight(e.text[:from], " "))
	if !e.cutAt(bare) {
		e.replace(bare, to, "")
	}
	e.replace(to, to, "\n"+indent+"  - {"+joined(settings, ", ")+"}")
}

func (e *editor) cutAt(from int) bool {
	for _, c := range e.cuts {
		if c.from == from && c.to > from {
			return true
		}
	}
	return false
}

func joined(settings [][2]string, by string) string {
	var lines []string
	for _, s := range settings {
		lines = append(lines, s[0]+": "+s[1])
	}
	return strings.Join(lines, by)
}

// olderFlag is what readers of YAML 1.1 take for true or false.
var olderFlag = regexp.MustCompile(`^(?i:y|n|yes|no|on|off)$`)

var plainText = regexp.MustCompile(`^[\p{L}\p{N}][\p{L}\p{N} ._/@()+'’-]*$`)

// yamlText writes a text as one YAML value, in quotes where it could be taken
// for something else.
func yamlText(text string) string {
	var v any
	if !olderFlag.MatchString(text) && plainText.MatchString(text) && yaml.Unmarshal([]byte(text), &v) == nil {
		if s, ok := v.(string); ok && s == text {
			return text
		}
	}
	var b strings.Builder
	enc := json.NewEncoder(&b) // a JSON text is a YAML text in double quotes
	enc.SetEscapeHTML(false)
	if err := enc.Encode(text); err != nil {
		panic(err) // a string always encodes
	}
	return strings.TrimSuffix(b.String(), "\n")
}
