package feed

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"

	"golang.org/x/text/encoding/charmap"
)

// deepestXML is how far elements may lie in each other; the deepest answer
// known has fifteen levels.
const deepestXML = 64

// xmlReader goes through XML element by element. Names come as alias:local,
// the alias being that of the namespace whatever its prefix is in the file,
// so that an element of another namespace is never taken for ours. A document
// type is refused, so no entity beyond XML's own five is ever expanded.
type xmlReader struct {
	format  string
	aliases map[string]string // namespace without http:// or https:// → alias
	d       *xml.Decoder
	depth   int
	root    string // name of the outermost element

	name  string // of the element that begins or ends
	attrs []xml.Attr
	text  strings.Builder // characters since the last begin or end
	err   error           // why reading ended, if not at the end
}

type xmlEvent int

const (
	xmlOver xmlEvent = iota
	xmlBegin
	xmlEnd
)

func openXML(in *input, format string, aliases map[string]string) *xmlReader {
	if mark, _ := in.Peek(3); string(mark) == "\xef\xbb\xbf" {
		in.Discard(3)
	}
	x := &xmlReader{format: format, aliases: aliases, d: xml.NewDecoder(in.Reader)}
	x.d.CharsetReader = latinXML
	return x
}

// latinXML decodes what European weather services declare beside UTF-8.
func latinXML(label string, in io.Reader) (io.Reader, error) {
	switch strings.ToLower(label) {
	case "iso-8859-1", "latin1", "windows-1252":
		return charmap.Windows1252.NewDecoder().Reader(in), nil
	case "us-ascii", "ascii":
		return in, nil
	}
	return nil, errors.New("the encoding " + shorten(label) + " isn't known here")
}

// next goes to the next begin or end of an element; text holds the characters
// before it, which at the end of an element without others is its content.
func (x *xmlReader) next() xmlEvent {
	x.text.Reset()
	for {
		token, err := x.d.Token()
		if err != nil {
			return x.stop(err)
		}
		switch t := token.(type) {
		case xml.CharData:
			x.text.Write(t)
		case xml.Directive:
			return x.stop(refuse("tell the source", "this %s XML declares a document type or entities", x.format))
		case xml.StartElement:
			return x.begin(t)
		case xml.EndElement:
			x.name, x.attrs = x.alias(t.Name), nil
			x.depth--
			return xmlEnd
		}
	}
}

func (x *xmlReader) begin(t xml.StartElement) xmlEvent {
	switch {
	case x.depth == 0 && x.root != "":
		return x.stop(refuse("fetch it again", "a second XML document begins in line %d", x.line()))
	case x.depth == deepestXML:
		return x.stop(refuse("tell the source", "elements lie more than %d deep in each other", deepestXML))
	}
	x.name, x.attrs = x.alias(t.Name), t.Attr
	if x.depth == 0 {
		x.root = x.name
	}
	x.depth++
	return xmlBegin
}

// alias names an element by what its namespace is called here; one of an
// unknown namespace keeps its name alone.
func (x *xmlReader) alias(n xml.Name) string {
	space := strings.TrimPrefix(strings.TrimPrefix(n.Space, "https://"), "http://")
	if a, known := x.aliases[space]; known {
		return a + ":" + n.Local
	}
	return n.Local
}

// stop ends the reading with an error, or at the end.
func (x *xmlReader) stop(err error) xmlEvent {
	var syntax *xml.SyntaxError
	refusal := (*Refusal)(nil)
	switch {
	case err == io.EOF && x.root != "":
	case err == io.EOF:
		x.err = refuse("look whether this is the right format", "this is no %s XML", x.format)
	case errors.As(err, &refusal):
		x.err = err
	case errors.As(err, &syntax) && strings.Contains(syntax.Msg, "unexpected EOF"):
		x.err = refuse("fetch it again", "this %s XML is cut off in line %d", x.format, syntax.Line)
	case errors.As(err, &syntax):
		x.err = refuse("fetch it again, or tell the source", "this %s XML is damaged in line %d: %s", x.format, syntax.Line, shorten(syntax.Msg))
	default:
		x.err = refuse("fetch it again, or tell the source", "this %s XML can't be read: %s", x.format, shorten(err.Error()))
	}
	return xmlOver
}

// attr gives an attribute of the element that begins, by its local name.
func (x *xmlReader) attr(local string) string {
	for _, a := range x.attrs {
		if a.Name.Local == local {
			return a.Value
		}
	}
	return ""
}

// content is the characters before the end of an element, without blanks
// around them.
func (x *xmlReader) content() string { return strings.TrimSpace(x.text.String()) }

func (x *xmlReader) line() int {
	line, _ := x.d.InputPos()
	return line
}
