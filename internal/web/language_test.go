package web_test

import (
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"testing"

	"budcall/internal/call"
	"budcall/internal/link"
	"budcall/internal/trail"
	"budcall/internal/web"
)

func TestPagesAreInTheLanguageOfWhomTheyAreFor(t *testing.T) {
	people := map[string]string{"": "sv", "aino": "fi", "ada": "en"}
	board := func(person string, days int) string {
		return "/board/" + link.Sign(key, link.Claim{Opens: "board", Person: person, Season: 2031, Expires: noon.AddDate(0, 0, days)})
	}
	for _, row := range []struct{ sentence, path, accepts, lang string }{
		{"the board of somebody Finnish", board("aino", 5), "", "fi"},
		{"whatever the browser likes", board("aino", 5), "sv, en;q=0.5", "fi"},
		{"a link of theirs that has expired", board("aino", -1), "", "fi"},
		{"the board of somebody English", board("ada", 5), "fi", "en"},
		{"a link that opens something else", strings.Replace(board("aino", 5), "/board/", "/form/", 1), "", "fi"},
		{"an altered link is for nobody in particular", board("aino", 5) + "x", "", "sv"},
		{"but the browser is asked", board("aino", 5) + "x", "fi-FI, en;q=0.5", "fi"},
		{"a person of unknown language", board("stranger", 5), "fi", "fi"},
		{"nothing there", "/nowhere", "", "sv"},
		{"nothing there, and a browser that likes several", "/nowhere", "de, en;q=0.4, fi;q=0.8", "fi"},
		{"the first of those liked alike", "/nowhere", "en, fi", "en"},
		{"what is refused isn't liked", "/nowhere", "fi;q=0", "sv"},
		{"a language that isn't there", "/nowhere", "de, et", "sv"},
		{"a weight that is no number", "/nowhere", "fi;q=much, en;level=1", "sv"},
	} {
		p := web.New(web.Options{Store: &memory{known: true}, Key: key, LangOf: func(person string) string { return people[person] }})
		r := httptest.NewRequest(http.MethodGet, row.path, nil)
		r.Header.Set("Accept-Language", row.accepts)
		w := httptest.NewRecorder()
		p.ServeHTTP(w, r)
		if got := w.Header().Get("Content-Language"); got != row.lang || !strings.Contains(w.Body.String(), `<html lang="`+row.lang+`"`) {
			t.Errorf("%s: Content-Language %q, want %q\n%.200s", row.sentence, got, row.lang, w.Body)
		}
	}
}

// Of the form and the board in another language nothing is left in English:
// every text between tags that has words, and that English has too, is a name.
func TestAFormIsWhollyInThePersonsLanguage(t *testing.T) {
	names := []string{"Kolmivaara", "Ada Nordlund", "Budcall", "T1", "T2", "T3", "T4"}
	english := map[string]bool{}
	for _, task := range call.Tasks {
		for _, text := range textsOf(formIn(t, "en", task)) {
			english[text] = true
		}
	}
	for _, task := range call.Tasks {
		for _, lang := range []string{"fi", "sv"} {
			page := formIn(t, lang, task)
			texts := textsOf(page)
			if len(texts) < 10 || !strings.Contains(page, `<html lang="`+lang+`"`) {
				t.Errorf("%s, %s: isn't in its language:\n%s", lang, task, page)
			}
			for _, text := range texts {
				rest := text
				for _, name := range names {
					rest = strings.ReplaceAll(rest, name, "")
				}
				if english[text] && wordy.MatchString(rest) {
					t.Errorf("%s, %s: %q is left in English", lang, task, text)
				}
			}
		}
	}
}

var wordy = regexp.MustCompile(`\p{L}{3}`)

func formIn(t *testing.T, lang string, task call.Task) string {
	t.Helper()
	m := newMemory(task)
	m.form.Lang = lang
	m.reports = []trail.Report{{Kind: trail.StageSeen, BBCH: 7, Day: m.form.Today}, {Kind: trail.Going, Day: m.form.Today, On: m.form.Today}}
	return get(t, newPages(m), formPath(claimOf(task))).Body.String()
}

// textsOf gives what a page says between its tags, without its style.
func textsOf(page string) (texts []string) {
	_, page, _ = strings.Cut(page, "</style>")
	for _, part := range strings.Split(page, "<")[1:] {
		if _, text, _ := strings.Cut(part, ">"); strings.TrimSpace(text) != "" {
			texts = append(texts, strings.TrimSpace(text))
		}
	}
	return texts
}

// Finnish words are long: every form, and the board, must fit a phone in them.
func TestPagesInOtherLanguagesFitAPhone(t *testing.T) {
	pages := map[string]string{}
	for _, lang := range []string{"fi", "sv"} {
		for _, task := range call.Tasks {
			pages["form-"+strings.ReplaceAll(string(task), " ", "-")+"-"+lang] = formIn(t, lang, task)
		}
		p := web.New(web.Options{Store: newMemory(call.BagOn), Key: key, LangOf: func(string) string { return lang }})
		pages["board-"+lang] = get(t, p, "/board/"+link.Sign(key, link.Claim{Opens: "board", Expires: noon})).Body.String()
	}
	for name, page := range pages {
		if m := regexp.MustCompile(`>[^<]*\{\w+\}[^<]*<`).FindString(strings.Split(page, "</style>")[1]); m != "" {
			t.Errorf("%s: a placeholder was not filled in: %s", name, m)
		}
	}
	fits(t, pages)
}

// boardNames are the names of the example board; that of a stage which we have
// no word for is the profile's.
var boardNames = regexp.MustCompile(`Kolmivaara|Isoaho|sons|&\w+;|Catkins stretch|Lehto|Ada Nordlund|Budcall|Birches of the North|BBCH|km`)

func TestTheBoardIsWhollyInThePersonsLanguage(t *testing.T) {
	board := func(lang string) []string {
		m := newMemory(call.BagOn)
		m.board.Trouble = nil // written for the ops person, in English
		p := web.New(web.Options{Store: m, Key: key, LangOf: func(string) string { return lang }})
		return textsOf(get(t, p, "/board/"+link.Sign(key, link.Claim{Opens: "board", Expires: noon})).Body.String())
	}
	english := board("en")
	for _, lang := range []string{"fi", "sv"} {
		texts := board(lang)
		if len(texts) < 30 {
			t.Fatalf("%s: found %d texts on the board: the search is broken", lang, len(texts))
		}
		for _, text := range texts {
			if slices.Contains(english, text) && wordy.MatchString(boardNames.ReplaceAllString(text, "")) {
				t.Errorf("%s: %q is left in English", lang, text)
			}
		}
	}
}
