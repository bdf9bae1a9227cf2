package sheet

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"budcall/internal/words"
)

// plainLetters are letters with marks, and what remains without.
var plainLetters = strings.NewReplacer("ä", "a", "å", "a", "ö", "o", "ø", "o", "õ", "o", "ü", "u", "æ", "a", "é", "e")

// folded gives a heading in the form in which headings are compared: small
// letters without marks, and digits; nothing else.
func folded(title string) string {
	return strings.Map(func(r rune) rune {
		if r < 128 && (unicode.IsLetter(r) || unicode.IsDigit(r)) {
			return r
		}
		return -1
	}, plainLetters.Replace(strings.ToLower(title)))
}

// titled gives the column that a heading means.
func titled(k Kind, title string) (column, bool) {
	f := folded(title)
	if f == "" {
		return column{}, false
	}
	for _, c := range forms[k].columns {
		if f == folded(c.name) {
			return c, true
		}
	}
	for _, c := range forms[k].columns {
		if slices.Contains(otherwise(k, c), f) {
			return c, true
		}
	}
	return column{}, false
}

// otherwise gives, folded, what else a column may be headed: its aliases, and in
// tables of trees, bags and lots what the page of a season's report calls it.
func otherwise(k Kind, c column) []string {
	list := slices.Clone(c.aliases)
	key, shown := columnHeads[c.name]
	if !shown || k != Trees && k != Bags && k != Lots {
		return list
	}
	for _, lang := range []string{"en", "fi", "sv"} {
		if head := folded(words.For(lang).Text(key)); head != folded(c.name) && !slices.Contains(list, head) {
			list = append(list, head)
		}
	}
	return list
}

// heading is a table's header as it was understood: for each column of the
// file the one that is meant, or none.
type heading struct {
	columns []column // name "" where the file's column isn't known
	line    int
}

// readHeader finds the header, which is the first row that holds anything.
func readHeader(g grid, o Options) (heading, []raw, []string, *Reject) {
	rows := g.rows
	for len(rows) > 0 && rows[0].blank() {
		rows = rows[1:]
	}
	if len(rows) == 0 {
		return heading{}, nil, nil, o.refuse(0, Empty, "write a header line and a row for each of the "+string(o.Kind), "there is nothing in it")
	}
	h, notes, rejected := headerIn(rows[0], o)
	if rejected == nil && h.known() == 0 {
		rejected = o.noHeader(rows)
	}
	if rejected == nil {
		rejected = h.complete(o)
	}
	return h, rows[1:], notes, rejected
}

func headerIn(row raw, o Options) (heading, []string, *Reject) {
	h := heading{line: row.line}
	var notes []string
	seen := map[string]string{}
	for _, c := range row.cells {
		title := trimmed(c.text)
		col, ok := titled(o.Kind, title)
		if !ok && title != "" {
			notes = append(notes, fmt.Sprintf("column %q isn't known here and isn't read%s", clip(title), o.near(title)))
		}
		if first, twice := seen[col.name]; ok && twice {
			return h, nil, o.refuse(row.line, BadColumn, "keep one of them", "the columns %q and %q both mean %s", clip(first), clip(title), col.name)
		}
		if ok {
			seen[col.name] = title
		}
		h.columns = append(h.columns, col)
	}
	return h, notes, nil
}

func (h heading) known() (n int) {
	for _, c := range h.columns {
		if c.name != "" {
			n++
		}
	}
	return n
}

func (h heading) has(name string) bool {
	for _, c := range h.columns {
		if c.name == name {
			return true
		}
	}
	return false
}

// complete refuses a header without a column that rows can't do without.
func (h heading) complete(o Options) *Reject {
	f := forms[o.Kind]
	var missing []string
	for _, c := range f.columns {
		isKey := len(f.key) == 1 && c.name == f.key[0]
		if c.needed && (isKey || !f.partial) && !h.has(c.name) {
			missing = append(missing, c.name)
		}
	}
	if len(missing) == 0 {
		return nil
	}
	what := "there is no column %s"
	if len(missing) > 1 {
		what = "there are no columns %s"
	}
	return o.refuse(h.line, BadColumn, headings(o.Kind), what, strings.Join(missing, ", "))
}

// headings lists the columns of a kind, each with what else it may be headed,
// in English, Finnish and Swedish.
func headings(k Kind) string {
	var list []string
	for _, c := range forms[k].columns {
		list = append(list, c.name+" ("+strings.Join(otherwise(k, c), ", ")+")")
	}
	return "the columns of " + string(k) + ", and what else they may be headed, are " + strings.Join(list, ", ") + "; capitals, dots and blanks don't matter, and a stands for ä and å, o for ö"
}

// noHeader says that the first row names no column, and where a header may be.
func (o Options) noHeader(rows []raw) *Reject {
	cure := "begin with a line that names the columns; " + headings(o.Kind)
	for _, row := range rows[1:min(len(rows), 20)] {
		if h, _, rejected := headerIn(row, o); rejected == nil && h.known() > 1 && h.complete(o) == nil {
			cure = fmt.Sprintf("row %d looks like the header: delete the rows above it", row.line)
			break
		}
	}
	return o.refuse(rows[0].line, Header, cure, "the first row names no column that is known here")
}

// near is the column that was probably meant by an unknown heading: one that
// differs by a letter, or by two where it is long.
func (o Options) near(title string) string {
	f := folded(title)
	for _, c := range forms[o.Kind].columns {
		for _, name := range append([]string{folded(c.name)}, c.aliases...) {
			if distance(f, name) <= (len(name)+1)/4 {
				return "; did you mean " + c.name + "?"
			}
		}
	}
	return ""
}

// distance is the number of letters to put in, leave out or change that turn
// one word into another (Levenshtein 1966).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diagonal := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			change := diagonal
			if a[i-1] != b[j-1] {
				change++
			}
			diagonal = row[j]
			row[j] = min(row[j]+1, row[j-1]+1, change)
		}
	}
	return row[len(b)]
}
