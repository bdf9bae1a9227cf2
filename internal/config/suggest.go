package config

import "strings"

// nearest gives the word that was most likely meant by one with a slip of the
// keyboard in it, or nothing where none is near. A unit at the end (base for
// base_c) counts for little, since it is what people forget.
func nearest(word string, known []string) string {
	best, least := "", (len([]rune(word))+1)/3
	for _, k := range known {
		d := distance(word, k)
		if stem, _, ok := cutUnit(k); ok {
			d = min(d, distance(word, stem))
		}
		if d < least || d == least && best == "" {
			best, least = k, d
		}
	}
	return best
}

// cutUnit parts a key from the unit at its end.
func cutUnit(key string) (stem, unit string, ok bool) {
	for _, u := range []string{"_c", "_cd", "_m", "_deg", "_days", "_hours", "_chance"} {
		if s, ok := strings.CutSuffix(key, u); ok && s != "" {
			return s, u, true
		}
	}
	return key, "", false
}

// distance is the number of single letters to put in, leave out, change or
// swap with their neighbour that turn a into b, each place touched once
// (optimal string alignment; Damerau 1964, Levenshtein 1966).
func distance(a, b string) int {
	s, t := []rune(strings.ToLower(a)), []rune(strings.ToLower(b))
	var before []int // row i-2
	last := make([]int, len(t)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(s); i++ {
		row := make([]int, len(t)+1)
		row[0] = i
		for j := 1; j <= len(t); j++ {
			change := last[j-1]
			if s[i-1] != t[j-1] {
				change++
			}
			row[j] = min(last[j]+1, row[j-1]+1, change)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last = last, row
	}
	return last[len(t)]
}
