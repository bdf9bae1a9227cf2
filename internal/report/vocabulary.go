package report

import (
	"strings"

	"budcall/internal/trail"
)

// takes is what may stand behind a phrase.
type takes int

const (
	nothing takes = iota
	aDay          // a day to come: going sat
	aSpan         // days to come: away 3 May - 9 May
)

// about is what a phrase may be said of.
type about int

const (
	treeOnly   about = iota // T3 off
	siteOnly                // can't
	treeOrSite              // T3 brown, brown
)

// meaning is what a phrase says.
type meaning struct {
	kind  trail.Kind
	bbch  int // of StageSeen and NotYet
	about about
	takes takes
}

// The meanings that phrases of every language share. Buds closed is "swelling
// not yet seen", green tip is bud break (BBCH 07).
var (
	meansGoing      = meaning{kind: trail.Going, about: siteOnly, takes: aDay}
	meansCannot     = meaning{kind: trail.CannotGo, about: siteOnly}
	meansAway       = meaning{kind: trail.Away, about: siteOnly, takes: aSpan}
	meansUnsafe     = meaning{kind: trail.Unsafe, about: siteOnly}
	meansNoLeave    = meaning{kind: trail.NoPermission, about: siteOnly}
	meansKit        = meaning{kind: trail.KitArrived, about: siteOnly}
	meansArrived    = meaning{kind: trail.LotReceived, about: treeOrSite} // all packets
	meansUnderstood = meaning{kind: trail.Understood, about: siteOnly}
	meansOff        = meaning{kind: trail.BagsOff, about: treeOnly}
	meansAllOff     = meaning{kind: trail.BagsOff, about: siteOnly}
	meansFine       = meaning{kind: trail.BagsFine, about: treeOnly}
	meansTorn       = meaning{kind: trail.BagsTorn, about: treeOnly}
	meansBrown      = meaning{kind: trail.SeedBrown, about: treeOrSite}
	meansGreen      = meaning{kind: trail.SeedGreen, about: treeOrSite}
	meansNoPick     = meaning{kind: trail.NothingToPick, about: treeOrSite}
	meansCatkins    = meaning{kind: trail.CatkinsSeen, about: treeOrSite}
	meansNoCatkins  = meaning{kind: trail.NoCatkins, about: treeOrSite}
	meansClosed     = meaning{kind: trail.NotYet, bbch: 1, about: treeOrSite}
	meansSwollen    = meaning{kind: trail.StageSeen, bbch: 1, about: treeOrSite}
	meansGreenTip   = meaning{kind: trail.StageSeen, bbch: 7, about: treeOrSite}
)

// Vocabulary is the words that count in replies of one language, all in lower
// case. Words that stand in none of its lists leave a line unread.
type Vocabulary struct {
	phrases    map[string]meaning
	correction string
	weekdays   map[string]int // 0: Sunday, as time.Weekday
	relative   map[string]int // days from the day of writing: today 0
	months     map[string]int // 1: January
	joins      []string       // between trees
	runs       []string       // between two days
	fillers    []string       // say nothing
	dayFirst   bool           // 5/6 is the 5th of June; false: unclear
	monthFirst bool           // May 4 is read as well as 4 May

	examples exampleWords
}

// exampleWords are the texts of prefilled replies and of the example lines in
// our own mails. Those that are words of a reply stand in the lists above too.
type exampleWords struct {
	heading                                     string
	going, day, cannot                          string // going sat, can't
	off, brown, fine, closed, noCatkins, noPick string
	kit, understood                             string
	arrived                                     string
	saysOn, saysPicked, saysOff, saysCame       string     // what a line means, %s for the tree
	months                                      [12]string // as in "3 May"; none: the day is written 3.5.
}

// vocabularies by language tag.
var vocabularies = map[string]*Vocabulary{"en": &english, "fi": &finnish, "sv": &swedish}

// Languages are those that replies are read in.
func Languages() []string { return []string{"en", "fi", "sv"} }

// vocabularyOf gives the words of a language, English where there are none;
// fi-FI counts as fi.
func vocabularyOf(language string) *Vocabulary {
	tag, _, _ := strings.Cut(strings.ToLower(language), "-")
	if v, ok := vocabularies[tag]; ok {
		return v
	}
	return &english
}

// has reports whether word is in any list, so that it can't be a name.
func (v *Vocabulary) has(word string) bool {
	if _, ok := v.weekdays[word]; ok {
		return true
	}
	if _, ok := v.months[word]; ok {
		return true
	}
	for _, list := range [][]string{v.joins, v.runs, v.fillers} {
		for _, w := range list {
			if w == word {
				return true
			}
		}
	}
	for phrase := range v.phrases {
		for _, w := range strings.Fields(phrase) {
			if w == word {
				return true
			}
		}
	}
	return false
}

// longestPhrase is how many words the longest phrase of any language has.
const longestPhrase = 4
