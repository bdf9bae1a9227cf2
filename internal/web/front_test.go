package web_test

import (
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"budcall/internal/call"
	"budcall/internal/link"
	"budcall/internal/web"
)

// frontOf gives the pages of programmes at paths, each with a key of its own
// that begins with the path.
func frontOf(pages map[string]*web.Pages) *web.Front {
	f := web.NewFront(slog.New(slog.DiscardHandler))
	for path, p := range pages {
		f.Add(&web.Place{Path: func() string { return path }, Pages: p})
	}
	return f
}

// keyOf is the key of a programme's links.
func keyOf(name string) []byte { return []byte(strings.Repeat(name, 32)) }

// pagesBy gives pages whose links are signed by a programme's key.
func pagesBy(m *memory, name string) *web.Pages {
	s := &shelf{memory: m}
	return web.New(web.Options{Store: s, Holder: s, Calendars: s, Settings: newSettingsDesk("proposed"), Key: keyOf(name)})
}

func at(t *testing.T, h http.Handler, method, path string) *httptest.ResponseRecorder {
	t.Helper()
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequestWithContext(t.Context(), method, path, nil))
	return w
}

func TestProgrammesOfOneListenerAreToldApartByTheirPaths(t *testing.T) {
	form, board := claimOf(call.BagOn), link.Claim{Opens: "board", Person: "ada", Expires: noon.AddDate(0, 0, 30)}
	north, south := link.Sign(keyOf("n"), form), link.Sign(keyOf("s"), form)
	both := map[string]*web.Pages{"/north": pagesBy(newMemory(call.BagOn), "n"), "/south": pagesBy(newMemory(call.BagOn), "s")}
	rooted := map[string]*web.Pages{"": both["/north"], "/south": both["/south"]}
	alone := map[string]*web.Pages{"/north": both["/north"]}
	for _, row := range []struct {
		what   string
		pages  map[string]*web.Pages
		path   string
		status int
	}{
		{"a link under its programme's path", both, "/north/form/" + north, 200},
		{"the other programme's, under its own", both, "/south/form/" + south, 200},
		{"a link of one under the path of the other", both, "/south/form/" + north, 403},
		{"and the other way round", both, "/north/form/" + south, 403},
		{"a board's link", both, "/north/board/" + link.Sign(keyOf("n"), board), 200},
		{"a board's link under the other path", both, "/south/board/" + link.Sign(keyOf("n"), board), 403},
		{"a link without a path", both, "/form/" + north, 404},
		{"the root", both, "/", 404},
		{"a path of nobody", both, "/east/form/" + north, 404},
		{"a longer name that begins like a path", both, "/northern/form/" + north, 404},
		{"a programme's path alone", both, "/north", 403},
		{"with a slash", both, "/north/", 403},
		{"something that no programme has", both, "/north/elsewhere", 404},
		{"a path written clumsily", both, "/north//form/" + north, 308},
		{"out of a programme and into the other", both, "/north/../south/form/" + south, 308},
		{"the one at the root", rooted, "/form/" + north, 200},
		{"beside it the one with a path", rooted, "/south/form/" + south, 200},
		{"a link of the one at the root under the other's path", rooted, "/south/form/" + north, 403},
		{"a link of the other at the root", rooted, "/form/" + south, 403},
		{"a single programme whose proxy leaves the path on", alone, "/north/form/" + north, 200},
		{"and one whose proxy takes it off", alone, "/form/" + north, 200},
		{"a single one at a path that is a page's name", map[string]*web.Pages{"/form": both["/north"]}, "/form/" + north, 200},
		{"nobody yet", nil, "/form/" + north, 404},
	} {
		if w := at(t, frontOf(row.pages), http.MethodGet, row.path); w.Code != row.status {
			t.Errorf("%s: %d, want %d\n%s", row.what, w.Code, row.status, w.Body)
		}
	}
}

func TestNobodysPathSaysNothingOfTheProgrammes(t *testing.T) {
	f := frontOf(map[string]*web.Pages{"/north": pagesBy(newMemory(call.BagOn), "n"), "/south": pagesBy(newMemory(call.BagOn), "s")})
	for _, path := range []string{"/", "/nowhere", "/form/x"} {
		w := at(t, f, http.MethodGet, path)
		if w.Code != http.StatusNotFound || w.Header().Get("Content-Security-Policy") == "" || w.Header().Get("Cache-Control") != "no-store" {
			t.Errorf("%s: %d %v", path, w.Code, w.Header())
		}
		if strings.Contains(w.Body.String(), "north") || strings.Contains(w.Body.String(), "south") {
			t.Errorf("%s names the programmes:\n%s", path, w.Body)
		}
	}
	if w := at(t, f, http.MethodDelete, "/"); w.Code != http.StatusMethodNotAllowed {
		t.Errorf("DELETE: %d", w.Code)
	}
}

// Whatever leads from a page on must lead to the same programme.
func TestNothingOnAPageLeadsOutOfTheProgrammesPath(t *testing.T) {
	leads := regexp.MustCompile(`(?i)\b(?:href|src|action|formaction)="([^"]*)"`)
	f := frontOf(map[string]*web.Pages{"/north": pagesBy(newMemory(call.BagOn), "n"), "/south": pagesBy(newMemory(call.BagOn), "s")})
	pages := map[string]*httptest.ResponseRecorder{}
	for pattern, claim := range addresses {
		page := "/north" + strings.Replace(pattern, "{token}", link.Sign(keyOf("n"), claim), 1)
		if pages[pattern] = get(t, f, page); pages[pattern].Code != http.StatusOK {
			t.Fatalf("%s: %d", pattern, pages[pattern].Code)
		}
	}
	form := "/north/form/" + link.Sign(keyOf("n"), claimOf(call.BagOn))
	pages["a form with a mistake, which has links"] = post(t, f, form, url.Values{"key": {"K"}, "selfing.T1": {"x"}})
	seen := 0
	for name, w := range pages {
		for _, m := range leads.FindAllStringSubmatch(w.Body.String(), -1) {
			seen++
			if strings.HasPrefix(m[1], "/") || strings.HasPrefix(m[1], "..") {
				t.Errorf("%s leads to %q, past the programme's path", name, m[1])
			}
		}
		if strings.Contains(w.Body.String(), "<base") || strings.Contains(w.Body.String(), "url(") || len(w.Result().Cookies()) > 0 {
			t.Errorf("%s has a base, a picture in its style or a cookie: see that they stay under the programme's path", name)
		}
	}
	if seen == 0 {
		t.Error("no link was seen: what is looked for here is no longer what pages have")
	}
	if len(addresses) < 4 {
		t.Error("not all addresses are looked at")
	}
	// A form that was taken leads to its own address, with a word behind it.
	sent := post(t, f, form, url.Values{"key": {"K"}, "selfing.T1": {"2"}, "control.T1": {"1"}})
	if to := sent.Header().Get("Location"); sent.Code != http.StatusSeeOther || !strings.HasPrefix(to, "?") {
		t.Errorf("%d to %q, want 303 to a ? of the same page\n%s", sent.Code, to, sent.Body)
	}
}
