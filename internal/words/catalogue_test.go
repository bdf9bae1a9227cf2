package words

import (
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"budcall/internal/call"
)

// compare gives what is wrong with a catalogue against another: keys that one
// of them lacks, placeholders and counts of lines that differ.
func compare(want, got Texts) []string {
	var wrong []string
	for k, text := range want {
		other, ok := got[k]
		switch {
		case !ok:
			wrong = append(wrong, string(k)+": is missing")
		case strings.TrimSpace(other) == "":
			wrong = append(wrong, string(k)+": is empty")
		case strings.Count(text, formSep) != strings.Count(other, formSep):
			wrong = append(wrong, string(k)+": has forms for numbers in one language only")
		case !slices.EqualFunc(strings.Split(text, formSep), strings.Split(other, formSep), samePlaceholders):
			wrong = append(wrong, string(k)+": has other placeholders")
		case strings.Count(text, "\n") != strings.Count(other, "\n"):
			wrong = append(wrong, string(k)+": has other lines")
		case ending(text) != ending(other):
			wrong = append(wrong, string(k)+": ends as another kind of text")
		case other != strings.TrimSpace(other):
			wrong = append(wrong, string(k)+": has blanks around it")
		}
	}
	for k := range got {
		if _, ok := want[k]; !ok {
			wrong = append(wrong, string(k)+": is one too many")
		}
	}
	slices.Sort(wrong)
	return wrong
}

var braces = regexp.MustCompile(`\{[^}]*\}`)

// samePlaceholders tells whether two texts hold the same names in braces, each
// as often; their order is a language's own, since they are named.
func samePlaceholders(a, b string) bool {
	x, y := braces.FindAllString(a, -1), braces.FindAllString(b, -1)
	slices.Sort(x)
	slices.Sort(y)
	return slices.Equal(x, y)
}

// ending gives the mark that says what kind of text it is: a sentence, a
// question, a heading with something below it, or a piece of a line.
func ending(text string) string {
	if text = strings.TrimSpace(text); strings.HasSuffix(text, ".") || strings.HasSuffix(text, "?") || strings.HasSuffix(text, ":") {
		return text[len(text)-1:]
	}
	return ""
}

func TestEveryLanguageHasTheSameTexts(t *testing.T) {
	for lang, c := range languages {
		for _, wrong := range compare(english.texts, c.texts) {
			t.Errorf("%s: %s", lang, wrong)
		}
		if c.lang != lang || lang != "en" && c.fallback != english {
			t.Errorf("%s: the catalogue calls itself %q, or doesn't fall back to English", lang, c.lang)
		}
	}
}

func TestTheComparisonFindsWhatIsWrong(t *testing.T) {
	want := Texts{"a": "one {n}", "b": "two", "c": "three", "d": "{n} x | {n} y", "f": "{x} {x}", "g": "1\n2", "h": "so.", "i": "so", "j": "{n} {m} | {n}", "k": "{x} {y}"}
	got := Texts{"a": "yksi", "b": " ", "d": "{n} z", "e": "viisi", "f": "{x}", "g": "1 2", "h": "niin", "i": "niin ", "j": "{n} | {n} {m}", "k": "{y} {x}"}
	wrong := []string{
		"a: has other placeholders", "b: is empty", "c: is missing", "d: has forms for numbers in one language only", "e: is one too many",
		"f: has other placeholders", "g: has other lines", "h: ends as another kind of text", "i: has blanks around it", "j: has other placeholders",
	}
	if found := compare(want, got); !slices.Equal(found, wrong) {
		t.Errorf("found %q, want %q", found, wrong)
	}
}

func TestALanguageFallsBackToEnglishTextByText(t *testing.T) {
	c := catalogueOf("xx", englishCalendar, Texts{DistanceKm: "{n} leagues"}).orElse(english)
	if got := c.Distance(34); got != "34 leagues" {
		t.Errorf("own text: %q", got)
	}
	if got := c.Odds(0.02); got != "2 in 100" {
		t.Errorf("missing text: %q, want the English one", got)
	}
}

// namedKinds are the keys that are put together from a value of a closed list.
var namedKinds = regexp.MustCompile(`^(task|task-at|task-within|standing|reason|reason-for|role|stage|flag|kind|state|doubt|way)\.`)

func TestEveryKeyHasATextAndEveryTextAKey(t *testing.T) {
	declared := keysOfSource(t)
	for k, name := range declared {
		if _, ok := english.texts[k]; !ok {
			t.Errorf("%s (%s) has no English text", name, k)
		}
	}
	for k := range english.texts {
		if _, ok := declared[k]; !ok && !namedKinds.MatchString(string(k)) {
			t.Errorf("%s has a text but no constant", k)
		}
	}
}

// keysOfSource gives the constants of type Key in this package's source; two
// of one value would hide each other and are refused.
func keysOfSource(t *testing.T) map[Key]string {
	t.Helper()
	paths, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	keys := map[Key]string{}
	for _, path := range paths {
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			spec, ok := n.(*ast.ValueSpec)
			if !ok || len(spec.Values) != 1 {
				return true
			}
			kind, isNamed := spec.Type.(*ast.Ident)
			value, isText := spec.Values[0].(*ast.BasicLit)
			if !isNamed || kind.Name != "Key" || !isText {
				return true
			}
			s, err := strconv.Unquote(value.Value)
			if err != nil {
				t.Fatal(err)
			}
			if other, ok := keys[Key(s)]; ok {
				t.Errorf("%s and %s are one key, %q", other, spec.Names[0].Name, s)
			}
			keys[Key(s)] = spec.Names[0].Name
			return true
		})
	}
	if len(keys) < 50 {
		t.Fatalf("found %d keys in the source: the search is broken", len(keys))
	}
	return keys
}

func TestEveryTaskStandingAndReasonHasItsWords(t *testing.T) {
	lists := closedLists(t)
	if len(lists["Reason"]) < 20 || len(lists["Standing"]) < 8 || len(lists["Task"]) != len(call.Tasks) {
		t.Fatalf("the closed lists of call weren't found: %v", lists)
	}
	for kind, prefixes := range map[string][]string{
		"Task": {"task.", "task-at.", "task-within."}, "Standing": {"standing."}, "Reason": {"reason."},
	} {
		for _, value := range lists[kind] {
			for _, prefix := range prefixes {
				if _, ok := english.texts[Key(prefix+value)]; !ok {
					t.Errorf("%s %q has no %s", kind, value, prefix)
				}
			}
		}
	}
	for k := range maps.Keys(english.texts) {
		rest, ok := strings.CutPrefix(string(k), "reason-for.")
		if !ok {
			continue
		}
		task, reason, _ := strings.Cut(rest, ".")
		if !slices.Contains(lists["Task"], task) || !slices.Contains(lists["Reason"], reason) {
			t.Errorf("%s is for no task and reason", k)
		}
	}
}

// closedLists gives the values of the constants of package call by type.
func closedLists(t *testing.T) map[string][]string {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), "../call/call.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	lists := map[string][]string{}
	ast.Inspect(file, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok || len(spec.Values) != 1 {
			return true
		}
		kind, isNamed := spec.Type.(*ast.Ident)
		value, isText := spec.Values[0].(*ast.BasicLit)
		if isNamed && isText {
			s, err := strconv.Unquote(value.Value)
			if err != nil {
				t.Fatal(err)
			}
			lists[kind.Name] = append(lists[kind.Name], s)
		}
		return true
	})
	return lists
}
