package report

import (
	"bytes"
	"strings"
)

// part is a part of a mail that holds no others.
type part struct {
	header   header
	kind     string // media type
	params   map[string]string
	body     []byte // still encoded
	cutOff   bool   // the mail ended before the part did
	related  bool   // inside multipart/related: shown within the text
	name     string
	attached bool
}

// tree is a mail taken apart.
type tree struct {
	parts  []part // all leaves, in order
	texts  []int  // those that are the text of the mail, into parts
	asks   []Ask
	report string // report-type of a multipart/report
}

// Limits of the shape of a mail; deeper or wider ones aren't opened.
const (
	deepest   = 20
	mostParts = 500
)

// takeApart reads the structure of a mail.
func takeApart(h header, body []byte) tree {
	var t tree
	t.texts = t.open(entity{header: h, body: body}, 0)
	for _, a := range t.asks {
		if a == TooNested { // no part of such a mail is believed
			return tree{asks: t.asks, report: t.report}
		}
	}
	return t
}

type entity struct {
	header  header
	body    []byte
	cutOff  bool
	related bool
}

func (t *tree) ask(a Ask) {
	for _, b := range t.asks {
		if a == b {
			return
		}
	}
	t.asks = append(t.asks, a)
}

// open takes an entity apart, adds its leaves to the tree and gives those that
// are its text.
func (t *tree) open(e entity, depth int) []int {
	kind, params := e.header.media()
	if !strings.HasPrefix(kind, "multipart/") {
		return t.leaf(e, kind, params)
	}
	if depth >= deepest || len(t.parts) >= mostParts {
		t.ask(TooNested)
		return nil
	}
	if kind == "multipart/encrypted" {
		t.ask(Encrypted)
		return nil
	}
	if kind == "multipart/report" && depth == 0 {
		t.report = strings.ToLower(params["report-type"])
	}
	children, whole := splitParts(e.body, params["boundary"])
	if len(children) == 0 {
		t.ask(Broken)
	}
	var groups [][]int
	for n, child := range children {
		h, body := splitHeader(child)
		inner := entity{header: h, body: body, related: e.related || kind == "multipart/related"}
		inner.cutOff = !whole && n == len(children)-1
		groups = append(groups, t.open(inner, depth+1))
	}
	if kind == "multipart/alternative" {
		return t.choose(groups)
	}
	var all []int
	for _, g := range groups {
		all = append(all, g...)
	}
	return all
}

// choose gives the text of a multipart/alternative: the first that is plain
// and not empty, else the last that is anything.
func (t *tree) choose(groups [][]int) (best []int) {
	for _, g := range groups {
		for _, n := range g {
			if p := t.parts[n]; p.kind == "text/plain" && !p.cutOff {
				if len(p.body) > longestText {
					return g
				}
				raw, _ := decodeTransfer(p.body, p.header.get("content-transfer-encoding"))
				if strings.TrimSpace(decodeCharset(raw, p.params["charset"])) != "" {
					return g
				}
			}
		}
		if len(g) > 0 {
			best = g
		}
	}
	return best
}

func (t *tree) leaf(e entity, kind string, params map[string]string) []int {
	if len(t.parts) >= mostParts {
		t.ask(TooNested)
		return nil
	}
	p := part{header: e.header, kind: kind, params: params, body: e.body, cutOff: e.cutOff, related: e.related}
	p.attached, p.name = e.header.attached()
	t.parts = append(t.parts, p)
	if !p.attached && (kind == "text/plain" || kind == "text/html") {
		return []int{len(t.parts) - 1}
	}
	return nil
}

// splitParts gives the parts between the boundaries, and whether the last
// boundary stands there. None: the boundary named never comes.
func splitParts(body []byte, boundary string) (parts [][]byte, whole bool) {
	if boundary == "" || len(boundary) > 200 {
		return nil, false
	}
	mark := []byte("--" + boundary)
	start, at := -1, 0
	for at < len(body) && len(parts) <= mostParts {
		line, rest := cutLine(body[at:])
		if bytes.HasPrefix(line, mark) {
			tail := bytes.TrimRight(line[len(mark):], " \t")
			if last := string(tail) == "--"; last || len(tail) == 0 {
				if start >= 0 {
					parts = append(parts, withoutEnd(body[start:at]))
				}
				if last {
					return parts, true
				}
				start = len(body) - len(rest)
			}
		}
		at = len(body) - len(rest)
	}
	if start >= 0 && start <= len(body) {
		parts = append(parts, body[start:])
	}
	return parts, false
}

// withoutEnd leaves out the line end before a boundary, which belongs to it.
func withoutEnd(b []byte) []byte {
	return bytes.TrimSuffix(bytes.TrimSuffix(b, []byte("\n")), []byte("\r"))
}
