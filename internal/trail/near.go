package trail

import (
	"cmp"
	"slices"
	"strings"
)

// Slip is what probably went wrong when a code was written.
type Slip string

// The slips, the likeliest first.
const (
	SameCharacters Slip = "only hyphens, blanks or capitals differ"
	NoCheck        Slip = "the check character is missing"
	LookAlike      Slip = "characters that look alike"
	MadeANumber    Slip = "a spreadsheet made a number of it"
	MadeADate      Slip = "a spreadsheet made a date of it"
	Swapped        Slip = "two characters swapped"
	OneWrong       Slip = "one character differs"
	OneMissing     Slip = "one character is missing"
	OneTooMany     Slip = "one character is too many"
	TwoWrong       Slip = "two slips"
)

var slips = []Slip{SameCharacters, NoCheck, LookAlike, MadeANumber, MadeADate, Swapped, OneWrong, OneMissing, OneTooMany, TwoWrong}

// Near is a known code that may be meant.
type Near struct {
	Code string `json:"code"`
	Slip Slip   `json:"slip"`
}

// mostNear is how many codes are suggested.
const mostNear = 5

// Suggest gives the known codes that may be meant by what was written, the
// likeliest first, five at most, each once. Nothing is ever taken for meant.
func Suggest(written string, known []string) (near []Near) {
	for _, k := range known {
		if slip, ok := slipOf(written, k); ok && !slices.ContainsFunc(near, func(n Near) bool { return n.Code == k }) {
			near = append(near, Near{k, slip})
		}
	}
	slices.SortStableFunc(near, func(a, b Near) int {
		return cmp.Or(slices.Index(slips, a.Slip)-slices.Index(slips, b.Slip), strings.Compare(a.Code, b.Code))
	})
	return near[:min(len(near), mostNear)]
}

// slipOf finds the slip that turns a known code into what was written.
func slipOf(written, known string) (Slip, bool) {
	w, k := bareOf(written), bareOf(known)
	bare := k // without the check character, if it has one
	if n := len(known); n > 2 && known == WithCheck(known[:n-2]) {
		bare = k[:len(k)-1]
	}
	switch {
	case w == "" || k == "":
		return "", false
	case w == k:
		return SameCharacters, true
	case w == bare:
		return NoCheck, true
	case alike(w) == alike(k), alike(w) == alike(bare):
		return LookAlike, true
	}
	if slip, ok := mangled(written, known); ok {
		return slip, true
	}
	switch d := slipsBetween(w, k); {
	case d == 1 && len(w) < len(k):
		return OneMissing, true
	case d == 1 && len(w) > len(k):
		return OneTooMany, true
	case d == 1 && differing(w, k) == 2:
		return Swapped, true
	case d == 1:
		return OneWrong, true
	case d == 2 && len(k) >= 5:
		return TwoWrong, true
	}
	return "", false
}

// bareOf is a text's characters without what only groups them.
func bareOf(text string) string { return strings.ReplaceAll(regroup(text), "-", "") }

// alike writes characters that look alike as one of them.
func alike(text string) string { return lookAlikes.Replace(text) }

var lookAlikes = strings.NewReplacer("O", "0", "Q", "0", "D", "0", "I", "1", "L", "1", "Z", "2", "S", "5", "G", "6", "B", "8")

// differing counts the places in which two texts of one length differ.
func differing(a, b string) (n int) {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			n++
		}
	}
	return n
}

// slipsBetween counts the characters to put in, leave out, change or swap with
// their neighbour, each place touched once, that turn a into b (optimal string
// alignment; Damerau 1964).
func slipsBetween(a, b string) int {
	var before []int
	last := make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row := make([]int, len(b)+1)
		row[0] = i
		for j := 1; j <= len(b); j++ {
			change := last[j-1]
			if a[i-1] != b[j-1] {
				change++
			}
			row[j] = min(last[j]+1, row[j-1]+1, change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last = last, row
	}
	return last[len(b)]
}
