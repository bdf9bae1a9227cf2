package pseudonym

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// codeKeys are the keys under which a person's code stands; under those of names
// it does where the configuration named them no more.
var codeKeys = []string{"person", "person_code", "target", "asked", "author", "name", "to_name", "sender", "was", "becomes"}

// written are the keys of what people wrote.
var written = []string{"note", "why", "written", "line", "text", "condition", "store", "dropped"}

// JSON replaces the person in every string of a JSON value. Signed links that
// are the person's are taken out. The value is given back as it was where
// nothing in it is the person's.
func (r *Replacer) JSON(raw []byte) ([]byte, error) {
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber()
	var v any
	if err := d.Decode(&v); err != nil {
		return nil, fmt.Errorf("reading JSON: %w", err)
	}
	changed := false
	v = r.value("", v, &changed)
	if !changed {
		return raw, nil
	}
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, fmt.Errorf("writing JSON: %w", err)
	}
	return bytes.TrimRight(out.Bytes(), "\n"), nil
}

func (r *Replacer) value(key string, v any, changed *bool) any {
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			v[k] = r.value(k, x, changed)
		}
	case []any:
		for i, x := range v {
			v[i] = r.value(key, x, changed)
		}
	case string:
		s := r.text(key, v)
		*changed = *changed || s != v
		return s
	}
	return v
}

func (r *Replacer) text(key, s string) string {
	switch {
	case slices.Contains(codeKeys, key) && s == r.who.Code:
		return r.who.As
	case r.theirLink(s):
		return ""
	case key == "id":
		return r.Within(s)
	case slices.Contains(written, key):
		return r.Text(s)
	}
	return r.Line(s)
}

// token is a signed link's: base64url of its claim, a dot, the signature.
var token = regexp.MustCompile(`([A-Za-z0-9_-]{20,})\.[A-Za-z0-9_-]{22}`)

// theirLink reports whether a text has a signed link that was made for the person.
func (r *Replacer) theirLink(s string) bool {
	for _, m := range token.FindAllStringSubmatch(s, -1) {
		body, err := base64.RawURLEncoding.DecodeString(m[1])
		var claim struct {
			Person string `json:"p"`
		}
		if err == nil && json.Unmarshal(body, &claim) == nil && claim.Person == r.who.Code {
			return true
		}
	}
	return false
}

// Mentions reports whether a text has the person's name, address or number.
func (r *Replacer) Mentions(s string) bool {
	return slices.ContainsFunc(r.rules, func(rule rule) bool { return rule.find.MatchString(s) })
}

// Where gives the first line, from 1, of a configuration file on which the
// person still stands; 0: on none.
func (r *Replacer) Where(path, content string) int {
	n := 0
	for line := range strings.Lines(content) {
		n++
		if r.Mentions(line) || refersToPeople(path) && r.code.MatchString(line) {
			return n
		}
	}
	return 0
}
