package cli

import (
	"errors"
	"fmt"
	"strings"

	"budcall/internal/app"
)

// explain gives an error as a user should read it: a name that isn't known
// comes with what was probably meant, and with those there are.
func explain(err error) string {
	var u *app.Unknown
	if !errors.As(err, &u) {
		return err.Error()
	}
	const most = 12
	list := u.Known
	more := ""
	if len(list) > most {
		list, more = list[:most], fmt.Sprintf(" and %d more", len(u.Known)-most)
	}
	return fmt.Sprintf("%s%s (there are %s%s)", u.Error(), meant(u.Name, u.Known), strings.Join(list, ", "), more)
}

// meant asks whether a known word was meant, where one is near.
func meant(word string, known []string) string {
	if n := nearest(word, known); n != "" {
		return ", did you mean " + n + "?"
	}
	return ""
}

// nearest gives the known word with the fewest slips of the keyboard from the
// one typed: at most one in three letters; nothing where none is so near.
func nearest(word string, known []string) string {
	best, least := "", (len(word)+2)/3+1
	for _, k := range known {
		if d := slips(strings.ToLower(word), strings.ToLower(k)); d < least {
			best, least = k, d
		}
	}
	return best
}

// slips counts the letters to put in, leave out or change that turn a into b
// (Levenshtein 1966).
func slips(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range a {
		diagonal := row[0]
		row[0] = i + 1
		for j := range b {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
