package words

import (
	"go/ast"
	"go/parser"
	"go/token"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// TestNothingIsLeftInEnglish holds every other language to texts of its own:
// what reads as the English does must stand in alike, or be no words at all.
func TestNothingIsLeftInEnglish(t *testing.T) {
	// alike are words that the languages share.
	alike := map[string][]Key{
		"fi": {},
		"sv": {ColumnPerson, ColumnCrpsDays},
	}
	both := []Key{PageName, PageVersion}
	for lang, c := range languages {
		if lang == "en" {
			continue
		}
		same := slices.Concat(both, alike[lang])
		for k, text := range c.texts {
			listed := slices.Contains(same, k)
			switch equal := text == english.texts[k]; {
			case equal && !listed && hasWords(text):
				t.Errorf("%s: %s is left in English: %q", lang, k, text)
			case !equal && listed:
				t.Errorf("%s: %s is listed as alike and isn't", lang, k)
			}
		}
	}
}

// hasWords tells whether a text has words beside placeholders and units.
func hasWords(text string) bool {
	return regexp.MustCompile(`\p{L}{3}`).MatchString(braces.ReplaceAllString(text, ""))
}

// TestTheEnglishOfOthersIsNoticed proves that hasWords sees what it is there for.
func TestTheEnglishOfOthersIsNoticed(t *testing.T) {
	for text, want := range map[string]bool{"{site}: {what}": false, "{n} km": false, "{n} °C": false, "All off: {trees}": true, "seen": true} {
		if hasWords(text) != want {
			t.Errorf("%q: %t", text, !want)
		}
	}
}

// foreign are words that only English has, so that half a sentence left behind
// is noticed too.
var foreign = regexp.MustCompile(`(?i)\b(the|and|of|with|was|were|bags?|trees?|seed|reported|nothing|which)\b`)

func TestNoEnglishWordIsWithinAnotherLanguage(t *testing.T) {
	for lang, c := range languages {
		for k, text := range c.texts {
			if found := foreign.FindString(braces.ReplaceAllString(text, "")); lang != "en" && found != "" {
				t.Errorf("%s: %s holds %q: %q", lang, k, found, text)
			}
		}
	}
}

// TestCalendarsAreWhole holds each language to seven weekdays and twelve months
// of its own, and to every form.
func TestCalendarsAreWhole(t *testing.T) {
	for lang, c := range languages {
		cal := c.calendar
		for what, names := range map[string][]string{"weekday": cal.weekdays[:], "month": cal.months[:]} {
			sorted := slices.Sorted(slices.Values(names))
			if slices.Contains(names, "") || len(slices.Compact(sorted)) != len(names) {
				t.Errorf("%s: a %s is missing or there twice: %q", lang, what, names)
			}
		}
		for what, form := range map[string]string{
			cal.dayAlone: "{day}", cal.dayMonth: "{day} {month}", cal.weekday: "{weekday} {date}", cal.dateYear: "{date} {year}", cal.moment: "{day} {time}",
		} {
			if !samePlaceholders(what, form) {
				t.Errorf("%s: %q hasn't the placeholders of %q", lang, what, form)
			}
		}
		if cal.decimal == "" || !strings.Contains(cal.timeOfDay, "15") || !strings.Contains(cal.timeOfDay, "04") {
			t.Errorf("%s: no decimal mark, or no time of day: %q, %q", lang, cal.decimal, cal.timeOfDay)
		}
	}
}

func TestEveryValueOfTheTrailHasItsWords(t *testing.T) {
	for file, kinds := range map[string]map[string]string{
		"bag.go": {"BagState": "state.", "Doubt": "doubt."}, "lot.go": {"LotState": "state."}, "code.go": {"BagKind": "kind."},
	} {
		tree, err := parser.ParseFile(token.NewFileSet(), "../trail/"+file, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		found := map[string]int{}
		ast.Inspect(tree, func(n ast.Node) bool {
			spec, ok := n.(*ast.ValueSpec)
			if !ok || len(spec.Values) != 1 {
				return true
			}
			kind, _ := spec.Type.(*ast.Ident)
			value, isText := spec.Values[0].(*ast.BasicLit)
			if kind == nil || !isText || kinds[kind.Name] == "" {
				return true
			}
			found[kind.Name]++
			said, err := strconv.Unquote(value.Value)
			if _, ok := english.texts[Key(kinds[kind.Name]+said)]; !ok || err != nil {
				t.Errorf("%s %q has no words (%v)", kind.Name, said, err)
			}
			return true
		})
		for kind := range kinds {
			if found[kind] < 2 {
				t.Errorf("the values of %s weren't found in %s", kind, file)
			}
		}
	}
}
