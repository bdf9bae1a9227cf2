package trail

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
)

// How is how a code was recognised.
type How string

// The ways; whatever else is only suggested.
const (
	AsWritten    How = "as written"
	Regrouped    How = "regrouped"     // small letters, or blanks for hyphens, or none at all; the check character fits
	WithoutCheck How = "without check" // a tree's code that has no check character, so a slip would go unnoticed
	ByAlias      How = "by alias"      // a former code
)

// Unknown is a code that couldn't be recognised. Nothing is guessed; what may
// be meant is in Near.
type Unknown struct {
	Written string
	Why     string
	Near    []Near
}

func (u *Unknown) Error() string {
	text := fmt.Sprintf("%q isn't a code known here: %s", u.Written, u.Why)
	if len(u.Near) == 0 {
		return text + "; nothing known is near: read it from the label again"
	}
	var near []string
	for _, n := range u.Near {
		near = append(near, fmt.Sprintf("%s (%s)", n.Code, n.Slip))
	}
	return text + "; near is " + strings.Join(near, ", ") + ": compare with the label and give the right one"
}

// Alias is a former code of a tree, as old lists and labels have it.
type Alias struct {
	Was  string `json:"was"`
	Tree string `json:"tree"` // its code without check character
}

// Directory is the codes that are known: trees as the sites' files have them,
// their former codes, and the bags and lots that there are.
type Directory struct {
	trees   map[string]Planted // by code without check character
	bare    map[string]bool    // trees whose code has no check character
	aliases map[string]string  // former code, regrouped, to tree
	squeeze map[string][]Code  // trees by their characters without hyphens
	list    []string           // what Near looks among
}

// NewDirectory makes a directory. Of the bags and lots the codes are given as
// written on labels.
func NewDirectory(trees []Planted, aliases []Alias, hanging ...string) *Directory {
	d := &Directory{trees: map[string]Planted{}, bare: map[string]bool{}, aliases: map[string]string{}, squeeze: map[string][]Code{}}
	for _, t := range trees {
		base := Base(t.Tree.Code)
		d.trees[base], d.bare[base] = t, base == t.Tree.Code
		bare := Bare(base)
		d.squeeze[bare] = append(d.squeeze[bare], Code{Tree: base})
		d.list = append(d.list, WithCheck(base))
	}
	for _, a := range aliases {
		d.aliases[regroup(a.Was)] = Base(a.Tree)
		d.list = append(d.list, a.Was)
	}
	d.list = append(d.list, hanging...)
	return d
}

// Find recognises a code as people write it. Small letters, blanks or other
// dashes in place of hyphens, or no hyphens at all, are taken where the check
// character fits; a code with anything wrong in it never is. The error is
// *Unknown.
func (d *Directory) Find(written string) (Code, How, error) {
	text := regroup(written)
	c, how, err := d.find(written, text)
	if err == nil {
		return c, how, nil
	}
	if tree := d.aliases[text]; tree != "" {
		if _, known := d.trees[tree]; known {
			return Code{Tree: tree}, ByAlias, nil
		}
	}
	return Code{}, "", err
}

// find recognises a code of today.
func (d *Directory) find(written, text string) (Code, How, error) {
	c, checked, err := ParseCode(text)
	switch {
	case err == nil && c.What() == Unplaced:
		return c, asOr(written, text), nil
	case err == nil && checked:
		if _, known := d.trees[c.Tree]; known {
			return c, asOr(written, text), nil
		}
		return Code{}, "", d.unknown(written, "no tree here has it, though its check character fits")
	case err == nil:
		if d.bare[c.Tree] {
			return c, WithoutCheck, nil
		}
		return Code{}, "", d.unknown(written, "no tree here has it without a check character")
	}
	if !strings.Contains(text, "-") {
		if found := d.squeezed(text); len(found) == 1 {
			return found[0], Regrouped, nil
		} else if len(found) > 1 {
			return Code{}, "", d.unknown(written, "without its hyphens it may be more than one")
		}
	}
	if shaped(text) {
		return Code{}, "", d.unknown(written, "its check character doesn't fit, so something in it is miswritten")
	}
	return Code{}, "", d.unknown(written, "it isn't written like one")
}

func asOr(written, text string) How {
	if written == text {
		return AsWritten
	}
	return Regrouped
}

func (d *Directory) unknown(written, why string) error {
	return &Unknown{Written: written, Why: why, Near: d.Near(written)}
}

// Near gives the known codes that may be meant by what was written, the
// likeliest first.
func (d *Directory) Near(written string) []Near { return Suggest(written, d.list) }

// squeezed gives the codes that a text without hyphens may be, with a check
// character that fits.
func (d *Directory) squeezed(text string) (found []Code) {
	for bare, trees := range d.squeeze {
		rest, ok := strings.CutPrefix(text, bare)
		if !ok || rest == "" {
			continue
		}
		for _, t := range trees {
			group := t.Tree + "-" + rest
			if n := len(rest); n > 1 {
				group = t.Tree + "-" + rest[:n-1] + "-" + rest[n-1:]
			}
			if c, checked, err := ParseCode(group); err == nil && checked {
				found = append(found, c)
			}
		}
	}
	slices.SortFunc(found, func(a, b Code) int { return strings.Compare(a.String(), b.String()) })
	return found
}

// shaped tells whether a text has the form of a code, whatever it checks to.
func shaped(text string) bool {
	return treePattern.MatchString(text) || hangingPattern.MatchString(text) || unplacedPattern.MatchString(text)
}

// regroup writes a text in capitals, with a hyphen for every blank or dash of
// another kind between its characters. Several in a row stay several: one of
// them may stand where a character is missing.
func regroup(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || unicode.Is(unicode.Pd, r) || r == '_' || r == '−' {
			return '-'
		}
		if upper := unicode.ToUpper(r); (upper < unicode.MaxASCII) == (r < unicode.MaxASCII) {
			return upper
		}
		return r // a dotless i is no I
	}, strings.TrimSpace(text))
}
