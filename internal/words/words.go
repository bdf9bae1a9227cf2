// Package words is every text that a person reads in a mail or on a page, by
// language, and the ways in which days, odds, distances and numbers are said.
//
// A text has a Key, and named placeholders such as {site}:
//
//	c := words.For(person.Lang)
//	c.Text(words.HeatForm, words.Args{"n": c.Number(43)})
//	c.Count(words.SelfingBags, 2)
//
// The English texts are the reference: a language is a file with the same keys
// and placeholders (see english.go), and a test compares them.
package words

import (
	"maps"
	"slices"
	"strconv"
	"strings"
)

// Key names a text. Every Key is a constant of this package.
type Key string

// Args is the values of a text's named placeholders, without the braces.
type Args map[string]string

// Texts is a part of a catalogue. A text that depends on a number holds its
// forms separated by " | ": first the one for 1, then the one for the rest,
// with the number itself as {n}.
type Texts map[Key]string

// formSep separates the forms of a text that depends on a number.
const formSep = " | "

// Catalogue is the texts of one language.
type Catalogue struct {
	lang     string
	texts    Texts
	calendar calendar
	fallback *Catalogue // nil for English
}

// languages is every catalogue by its BCP 47 language tag.
var languages = map[string]*Catalogue{
	"en": english,
	"fi": finnish, // not yet read by a native speaker
	"sv": swedish, // not yet read by a native speaker
}

// For gives the catalogue of a language tag such as "en" or "en-GB". What
// isn't there is answered in English.
func For(lang string) *Catalogue {
	base, _, _ := strings.Cut(strings.ToLower(lang), "-")
	if c, ok := languages[base]; ok {
		return c
	}
	return english
}

// Languages gives the tags of the languages there are, sorted.
func Languages() []string { return slices.Sorted(maps.Keys(languages)) }

// Lang gives the tag of the language, for the lang attribute of a page and the
// Content-Language of a mail.
func (c *Catalogue) Lang() string { return c.lang }

// Text gives a text with its placeholders filled in. A placeholder without a
// value stays as written, where a test sees it; values are never searched for
// placeholders themselves.
func (c *Catalogue) Text(k Key, args ...Args) string {
	return fill(c.raw(k), merge(args))
}

// Count gives the form of a text that belongs to the number n, with {n} filled
// in besides args.
func (c *Catalogue) Count(k Key, n int, args ...Args) string {
	forms := strings.Split(c.raw(k), formSep)
	form := forms[len(forms)-1]
	if n == 1 { // holds for English, Swedish and Finnish alike
		form = forms[0]
	}
	all := merge(args)
	all["n"] = strconv.Itoa(n)
	return fill(form, all)
}

// Lines gives the points of a text that is a list.
func (c *Catalogue) Lines(k Key, args ...Args) []string {
	return strings.Split(c.Text(k, args...), "\n")
}

// raw gives a text as it stands in the catalogue, else the English one. A key
// that isn't there at all, which a test excludes, comes out as itself.
func (c *Catalogue) raw(k Key) string {
	if s, ok := c.texts[k]; ok {
		return s
	}
	if c.fallback != nil {
		return c.fallback.raw(k)
	}
	return string(k)
}

func merge(args []Args) Args {
	all := Args{}
	for _, a := range args {
		maps.Copy(all, a)
	}
	return all
}

// fill replaces the placeholders of a text in one pass. A value that ends in a
// full stop, as a Finnish date does, takes the one that ends the sentence with
// it: "3.5." and not "3.5..".
func fill(text string, args Args) string {
	var b strings.Builder
	for {
		before, rest, ok := strings.Cut(text, "{")
		b.WriteString(before)
		if !ok {
			return b.String()
		}
		name, after, closed := strings.Cut(rest, "}")
		value, known := args[name]
		if !closed || !known {
			b.WriteString("{")
			text = rest
			continue
		}
		b.WriteString(value)
		if strings.HasSuffix(value, ".") && strings.HasPrefix(after, ".") {
			after = after[1:]
		}
		text = after
	}
}

// catalogueOf puts a language together from its parts.
func catalogueOf(lang string, cal calendar, parts ...Texts) *Catalogue {
	c := &Catalogue{lang: lang, texts: Texts{}, calendar: cal}
	for _, p := range parts {
		maps.Copy(c.texts, p)
	}
	return c
}

// orElse gives c with a catalogue that answers what c lacks.
func (c *Catalogue) orElse(fallback *Catalogue) *Catalogue {
	with := *c
	with.fallback = fallback
	return &with
}
