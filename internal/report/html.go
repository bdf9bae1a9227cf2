package report

import (
	"html"
	"strings"
)

// Elements that begin and end a line, and those whose content is no text.
var (
	blocks = words("address article aside blockquote body center dd div dl dt fieldset figure footer form h1 h2 h3 h4 h5 h6" +
		" header hr li main nav ol p pre section table tbody tfoot thead tr ul")
	silent = words("head script style title template noscript object svg math textarea select")
	empty  = words("area base br col embed hr img input link meta source track wbr")
)

// deepestHidden is how many open elements are remembered to find the end of
// a hidden one.
const deepestHidden = 1 << 16

// page turns HTML into lines: a block or a row of a table is a line, what is
// hidden is nothing, what stands in a blockquote begins with > as in plain
// text.
type page struct {
	out     strings.Builder
	quotes  int
	blank   bool // a blank is owed before the next text
	started bool // the line has text
	pre     int
	hidden  []string // open elements from the hidden one on
}

// htmlText gives the text of an HTML part.
func htmlText(source string) string {
	var p page
	for len(source) > 0 {
		at := strings.IndexByte(source, '<')
		if at < 0 {
			at = len(source)
		}
		p.text(source[:at])
		source = p.markup(source[at:])
	}
	return p.out.String()
}

// text adds text between tags.
func (p *page) text(source string) {
	if source == "" || len(p.hidden) > 0 {
		return
	}
	for _, r := range html.UnescapeString(source) {
		switch {
		case r == '\n' && p.pre > 0:
			p.newline()
		case r == ' ' || r == '\t' || r == '\n' || r == '\r' || r == '\f':
			p.blank = true
		default:
			p.begin()
			p.out.WriteRune(r)
		}
	}
}

// begin writes what is owed before a character.
func (p *page) begin() {
	if !p.started {
		for range min(p.quotes, 3) {
			p.out.WriteByte('>')
		}
		if p.quotes > 0 {
			p.out.WriteByte(' ')
		}
		p.started = true
	} else if p.blank {
		p.out.WriteByte(' ')
	}
	p.blank = false
}

func (p *page) newline() {
	p.out.WriteByte('\n')
	p.started, p.blank = false, false
}

// markup reads a tag or a comment at the start of source and gives the rest.
func (p *page) markup(source string) string {
	if source == "" {
		return ""
	}
	if strings.HasPrefix(source, "<!--") {
		_, rest, ok := strings.Cut(source[4:], "-->")
		if !ok {
			return ""
		}
		return rest
	}
	if len(source) < 2 || !letter7(source[1]) && source[1] != '/' && source[1] != '!' && source[1] != '?' {
		p.text("&lt;")
		return source[1:]
	}
	end := tagEnd(source)
	p.tag(source[1:max(1, end)])
	if end >= len(source) {
		return ""
	}
	return source[end+1:]
}

// tagEnd finds the > of a tag, past quoted values; a quote that never closes
// ends at the first >.
func tagEnd(source string) int {
	quote := byte(0)
	for n := 1; n < len(source) && n < 64<<10; n++ {
		switch b := source[n]; {
		case quote != 0:
			if b == quote {
				quote = 0
			}
		case (b == '"' || b == '\'') && source[n-1] == '=':
			quote = b
		case b == '>':
			return n
		}
	}
	if at := strings.IndexByte(source, '>'); at > 0 {
		return at
	}
	return len(source)
}

// tag reads a tag without its angle brackets.
func (p *page) tag(inside string) {
	closing := strings.HasPrefix(inside, "/")
	name := strings.TrimPrefix(inside, "/")
	if at := strings.IndexAny(name, " \t\r\n\f/"); at >= 0 {
		name = name[:at]
	}
	name = strings.ToLower(name)
	if len(p.hidden) > 0 {
		p.within(name, closing, strings.HasSuffix(inside, "/"))
		return
	}
	if !closing && !empty[name] && (silent[name] || hides(inside)) {
		if blocks[name] {
			p.newline()
		}
		p.hidden = append(p.hidden, name)
		return
	}
	p.shown(name, closing)
}

// within follows the elements inside a hidden one until it ends.
func (p *page) within(name string, closing, single bool) {
	root := p.hidden[0]
	if silent[root] {
		if closing && name == root || root == "head" && !closing && name == "body" {
			p.hidden = nil
		}
		return
	}
	if !closing {
		if name == root && !single && len(p.hidden) < deepestHidden {
			p.hidden = append(p.hidden, name)
		}
		return
	}
	if name == root {
		p.hidden = p.hidden[:len(p.hidden)-1]
		if len(p.hidden) == 0 && blocks[root] {
			p.newline()
		}
	}
}

// shown writes what a tag that is not hidden does to the text.
func (p *page) shown(name string, closing bool) {
	switch {
	case name == "br":
		p.newline()
	case name == "td" || name == "th":
		p.blank = true
	case blocks[name]:
		p.newline()
	}
	step := 1
	if closing {
		step = -1
	}
	switch name {
	case "blockquote":
		p.quotes = max(0, p.quotes+step)
	case "pre":
		p.pre = max(0, p.pre+step)
	}
}

// hides reports whether a tag says that its element isn't shown.
func hides(inside string) bool {
	lower := strings.ToLower(inside)
	if !strings.Contains(lower, "hid") && !strings.Contains(lower, "none") && !strings.Contains(lower, "font-size") && !strings.Contains(lower, "opacity") {
		return false
	}
	tight := strings.Map(func(r rune) rune {
		if r == ' ' || r == '\t' || r == '\n' || r == '\r' {
			return -1
		}
		return r
	}, lower) + ";"
	for _, mark := range []string{"display:none", "visibility:hidden", "mso-hide:all", "font-size:0;", "font-size:0px", "font-size:0pt", "font-size:0\"", "opacity:0;", "opacity:0\""} {
		if strings.Contains(tight, mark) {
			return true
		}
	}
	fields := strings.Fields(strings.TrimSuffix(lower, "/"))
	for _, f := range fields[min(1, len(fields)):] {
		if f == "hidden" || strings.HasPrefix(f, "hidden=") {
			return true
		}
	}
	return false
}

func letter7(b byte) bool { return b >= 'a' && b <= 'z' || b >= 'A' && b <= 'Z' }
