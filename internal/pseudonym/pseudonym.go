// Package pseudonym puts a pseudonym in the place of a person: of the code, the
// name, the address and the phone number, in texts, JSON, configuration files,
// and finds them in mails.
package pseudonym

import (
	"regexp"
	"slices"
	"strings"
)

// Person is whom to replace, by what.
type Person struct {
	Code      string // as it stands in configuration files
	As        string // the pseudonym, a code too
	Names     []string
	Addresses []string
	Phones    []string
}

// domain is that of the addresses which stand for replaced ones: RFC 2606
// keeps it from ever being somebody's.
const domain = "@forgotten.invalid"

// noPhone stands for a phone number; it can't be dialled.
const noPhone = "000"

// Replacer replaces one person.
type Replacer struct {
	who   Person
	rules []rule
	words *regexp.Regexp // parts of names, for texts that people wrote; nil: none
	code  *regexp.Regexp // the code as a word of its own
}

type rule struct {
	find *regexp.Regexp
	by   string
}

// New prepares to replace a person.
func New(p Person) *Replacer {
	r := &Replacer{who: p, code: regexp.MustCompile(`(^|[^A-Za-z0-9_-])` + regexp.QuoteMeta(p.Code) + `($|[^A-Za-z0-9_-])`)}
	for _, a := range known(p.Addresses) {
		r.add(`(?i)`+regexp.QuoteMeta(a), p.As+domain)
	}
	var words []string
	for _, n := range known(p.Names) {
		parts := strings.Fields(n)
		r.add(`(?i)`+spaced(parts), p.As)
		if len(parts) == 2 { // as lists have it
			r.add(`(?i)`+regexp.QuoteMeta(parts[1])+`,?\s+`+regexp.QuoteMeta(parts[0]), p.As)
		}
		for _, part := range parts {
			if len([]rune(part)) > 2 {
				words = append(words, regexp.QuoteMeta(part))
			}
		}
	}
	for _, n := range known(p.Phones) {
		if pattern := phonePattern(n); pattern != "" {
			r.add(pattern, noPhone)
		}
	}
	if len(words) > 0 {
		r.words = regexp.MustCompile(`(^|[^\pL\pN])(?:` + strings.Join(words, "|") + `)($|[^\pL\pN])`)
	}
	return r
}

// known gives what isn't empty, the longest first, so that a part doesn't hide
// the whole.
func known(list []string) []string {
	var out []string
	for _, s := range list {
		if s = strings.TrimSpace(s); s != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	slices.SortFunc(out, func(a, b string) int { return len(b) - len(a) })
	return out
}

func (r *Replacer) add(pattern, by string) {
	r.rules = append(r.rules, rule{regexp.MustCompile(pattern), by})
}

func spaced(parts []string) string {
	for i, p := range parts {
		parts[i] = regexp.QuoteMeta(p)
	}
	return strings.Join(parts, `[\s\x{a0}]+`)
}

// ownDigits is how many digits at the end of a number are the person's: what
// comes before is the country's or the network's, and written in several ways.
const ownDigits = 8

// phonePattern finds a number however it is grouped, with or without the
// country; empty where there are too few digits to be sure.
func phonePattern(number string) string {
	var digits []string
	for _, c := range number {
		if c >= '0' && c <= '9' {
			digits = append(digits, string(c))
		}
	}
	if len(digits) < 5 {
		return ""
	}
	own := digits[max(0, len(digits)-ownDigits):]
	return `(?:\+|\b)(?:[0-9]{1,4}[ \-/().]{0,3}){0,2}` + strings.Join(own, `[ \-/().\x{a0}]{0,2}`) + `\b`
}

// Line replaces the person in a line that a program wrote.
func (r *Replacer) Line(s string) string {
	for _, rule := range r.rules {
		s = rule.find.ReplaceAllLiteralString(s, rule.by)
	}
	return strings.ReplaceAll(s, `"`+r.who.Code+`"`, `"`+r.who.As+`"`)
}

// Text replaces the person in what a person wrote, where a part of the name is
// enough to know who is meant.
func (r *Replacer) Text(s string) string {
	s = r.Line(s)
	for r.words != nil && r.words.MatchString(s) { // neighbours share the character between them
		s = r.words.ReplaceAllString(s, "${1}"+r.who.As+"${2}")
	}
	return s
}

// Is replaces a code that is the person's.
func (r *Replacer) Is(code string) string {
	if code == r.who.Code {
		return r.who.As
	}
	return code
}

// Within replaces the code where it stands between hyphens.
func (r *Replacer) Within(id string) string {
	parts := strings.Split(id, "-"+r.who.Code+"-")
	return strings.Join(parts, "-"+r.who.As+"-")
}

// File replaces the person in a file of the configuration: the code too, where
// files refer to people.
func (r *Replacer) File(path, content string) string {
	content = r.Text(content)
	if !refersToPeople(path) {
		return content
	}
	for r.code.MatchString(content) {
		content = r.code.ReplaceAllString(content, "${1}"+r.who.As+"${2}")
	}
	return content
}

func refersToPeople(path string) bool {
	return path == "people.yml" || path == "programme.yml" || strings.HasPrefix(path, "sites/")
}
