package config

import (
	"bytes"
	"errors"
	"io"
	"regexp"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"
)

// maxBytes is the size from which on a file is taken for something else.
const maxBytes = 1 << 20

// document reads one file as far as YAML goes. The entry is absent where there
// is nothing to go on with; why is then among the findings.
func document(found *findings, file string, content []byte) entry {
	e := entry{found: found, file: file}
	if len(content) > maxBytes {
		e.problem("is larger than 1 MiB", "is it the right file?")
		return e
	}
	root, err := parseYAML(content)
	switch {
	case errors.Is(err, io.EOF):
		e.line = 1
		e.problem("the file is empty", "the example file of the same name shows what belongs in it")
	case err != nil:
		e.line = failingLine(content, err)
		e.problem(plainYAML(content, e.line, err))
	default:
		e.node, e.line = root, root.Line
	}
	return e
}

var errTwoDocuments = errors.New("a second document")

// parseYAML gives the value of a file that holds exactly one YAML document.
func parseYAML(content []byte) (*yaml.Node, error) {
	decoder := yaml.NewDecoder(bytes.NewReader(content))
	var doc, more yaml.Node
	if err := decoder.Decode(&doc); err != nil {
		return nil, err
	}
	if len(doc.Content) == 0 || isNull(doc.Content[0]) {
		return nil, io.EOF
	}
	if err := decoder.Decode(&more); err == nil {
		return nil, errTwoDocuments
	} else if !errors.Is(err, io.EOF) {
		return nil, err
	}
	return doc.Content[0], nil
}

// failingLine finds the line at which a file stops being YAML. The parser
// names the start of what it was in the middle of, which can be far above; the
// line after the longest beginning that still reads well is where people look.
func failingLine(content []byte, err error) int {
	const longest = 400 // lines; each is a parse, and config files are short
	lines := bytes.SplitAfter(content, []byte("\n"))
	if len(lines) <= longest {
		for n := len(lines) - 1; n > 0; n-- {
			_, err := parseYAML(bytes.Join(lines[:n], nil))
			if err == nil || errors.Is(err, io.EOF) {
				return n + 1
			}
		}
		return 1
	}
	if m := lineInError.FindStringSubmatch(err.Error()); m != nil {
		n, _ := strconv.Atoi(m[1])
		return n
	}
	return 1
}

var lineInError = regexp.MustCompile(`line (\d+)`)

// plainYAML puts the parser's trouble in words of people who don't write YAML
// every day: what is wrong and what to do.
func plainYAML(content []byte, line int, err error) (what, cure string) {
	text := ""
	if lines := strings.Split(string(content), "\n"); line <= len(lines) {
		text = lines[line-1]
	}
	says := func(part string) bool { return strings.Contains(err.Error(), part) }
	switch {
	case errors.Is(err, errTwoDocuments):
		return "a second document begins in the file", "remove the line ---"
	case strings.Contains(text[:len(text)-len(strings.TrimLeft(text, " \t"))], "\t"), says("found character that cannot start any token") && strings.Contains(text, "\t"):
		return "a tab stands where spaces belong", "indent with spaces"
	case says("mapping values are not allowed"):
		return "a colon too many, or a line indented too far", "put text that holds a colon and a space in \"quotes\", and begin settings of one kind in the same column"
	case says("unexpected end of stream"), says("unexpected document indicator"):
		return "a quotation mark is opened and never closed", "close it, or write '' for an apostrophe within '…'"
	case says("expected ',' or"), says("expected node content"):
		return "a bracket is opened and never closed, or a comma is missing in it", "write lists as [a, b, c]"
	case says("could not find expected ':'"), says("did not find expected key"), says("did not find expected '-'"), says("block sequence entries are not allowed"):
		return "this line doesn't fit the lines above it", "write \"name: value\", a space after the colon, lists with \"- \", and begin settings of one kind in the same column"
	case says("UTF-8"), says("Unicode"), says("UTF-16"), says("control characters"):
		return "a character that is no text", "save the file as UTF-8"
	case says("unknown anchor"):
		return "a * refers to something that isn't defined", "put text that begins with * in \"quotes\""
	case says("cannot start any token"):
		return "a value begins with a character that YAML keeps for itself", "put it in \"quotes\""
	}
	return "can't be read from here on", "compare with the example file of the same name"
}

func isNull(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && n.Tag == "!!null"
}
