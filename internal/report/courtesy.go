package report

import (
	"slices"
	"strings"
	"unicode"
)

// courtesies are openings and closings of letters, which are no lines. People
// write them in any language, so the languages aren't told apart.
var courtesies = []string{
	"hi", "hello", "dear", "good morning", "thanks", "thank you", "regards", "best wishes", "best regards", "cheers", "warmly",
	"hei", "moi", "terve", "hyvää päivää", "kiitos", "kiitti", "terv", "terveisin", "t",
	"hej", "hejsan", "god dag", "tack", "mvh", "hälsningar", "vänliga hälsningar",
}

// The line that a phone or a mail program puts below a mail begins with one of
// sentBy and names one of sentWith: "Sent from my iPhone", "Lähetetty iPhonesta",
// "Hämta Outlook för Android".
var (
	sentBy   = []string{"sent from ", "sent via ", "sent with ", "get ", "lähetetty ", "hanki ", "skickat från ", "skickat via ", "skickat med ", "hämta ", "skaffa ", "saadetud "}
	sentWith = []string{"iphone", "ipad", "android", "samsung", "galaxy", "huawei", "nokia", "oneplus", "xiaomi", "phone", "puhelime", "telefon", "mobil", "outlook", "gmail", "yahoo", "proton", "thunderbird"}
)

// sentLine reports whether a line in small letters is such a line. One with a
// digit may be a report that ran into it.
func sentLine(lower string) bool {
	within := func(list []string, in func(s, part string) bool) bool {
		return slices.ContainsFunc(list, func(part string) bool { return in(lower, part) })
	}
	return len(lower) < 60 && !hasDigit(lower) && within(sentBy, strings.HasPrefix) && within(sentWith, strings.Contains)
}

// mostNames is how many words of a line may be names behind a greeting.
const mostNames = 3

// letter knows what frames the lines of a mail: the sender's names.
type letter struct {
	words *Vocabulary
	whole [][]string // the words of each full name
	names map[string]bool
}

// newLetter takes the full names that may be the sender's.
func newLetter(v *Vocabulary, names ...string) letter {
	l := letter{words: v, names: map[string]bool{}}
	for _, name := range names {
		var whole []string
		for _, t := range tokens(composed(name)) {
			if t.word() {
				whole = append(whole, t.text)
				l.names[t.text] = true
			}
		}
		if len(whole) > 1 {
			l.whole = append(l.whole, whole)
		}
	}
	return l
}

// courtesy reports whether a tidy line is a greeting, thanks, a closing or the
// sender's own name, with nothing else in it. Signs is true where the line
// holds the full name: all below it is signature.
func (l letter) courtesy(line string) (is, signs bool) {
	if sentLine(strings.ToLower(line)) {
		return true, false
	}
	list := slices.DeleteFunc(tokens(line), func(t token) bool { return t.is(".,!:-)(") })
	if len(list) == 0 {
		return false, false
	}
	for n := min(2, len(list)); n > 0; n-- {
		if slices.Contains(courtesies, join(list[:n])) {
			rest := list[n:]
			return l.allNames(rest), l.fullName(rest)
		}
	}
	if l.fullName(list) {
		return true, true
	}
	return len(list) <= mostNames && l.ownNames(list), false
}

// allNames reports whether words can be nothing but names.
func (l letter) allNames(list []token) bool {
	if len(list) > mostNames {
		return false
	}
	for _, t := range list {
		first := []rune(t.raw)[0]
		if !l.names[t.text] && (!unicode.IsUpper(first) || hasDigit(t.text) || l.words.has(t.text)) {
			return false
		}
	}
	return true
}

func (l letter) ownNames(list []token) bool {
	for _, t := range list {
		if !l.names[t.text] || l.words.has(t.text) || hasDigit(t.text) {
			return false
		}
	}
	return len(list) > 0
}

// fullName reports whether the tokens are one of the sender's names, first and
// family name at least.
func (l letter) fullName(list []token) bool {
	return slices.ContainsFunc(l.whole, func(whole []string) bool {
		return slices.EqualFunc(whole, list, func(name string, t token) bool { return t.text == name })
	})
}
