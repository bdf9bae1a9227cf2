package web_test

import (
	"context"
	"html"
	"net/http/httptest"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"budcall/internal/call"
	"budcall/internal/link"
	"budcall/internal/web"
	"budcall/internal/words"
)

// Turn gives how often ada's links were withdrawn; eve isn't known any more.
func (m *memory) Turn(_ context.Context, person string) (int, bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.down {
		return 0, false, errDown
	}
	return m.turns[person], person != "eve", nil
}

// shelf is the memory with what else links open.
type shelf struct {
	*memory
	confirmed int
}

func (s *shelf) Held(_ context.Context, c link.Claim) (web.Held, bool, error) {
	return web.Held{Lang: "en", Lines: []string{"bags on T3"}}, c.Arrived() == 7, nil
}

func (s *shelf) Confirm(context.Context, link.Claim) (bool, error) {
	s.confirmed++
	return true, nil
}

func (s *shelf) Calendar(context.Context, link.Claim) ([]byte, bool, error) {
	return []byte("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n"), true, nil
}

// pagesOf gives all the pages that links open.
func pagesOf(s *shelf) *web.Pages {
	return web.New(web.Options{Store: s, Holder: s, Calendars: s, Settings: newSettingsDesk("proposed"), Key: key})
}

// addresses are all that a link opens, and the claim that opens each.
var addresses = map[string]link.Claim{
	"/form/{token}":     claimOf(call.BagOn),
	"/board/{token}":    {Opens: "board", Person: "ada", Expires: noon.AddDate(0, 0, 30)},
	"/held/{token}":     link.Held("ada", 7, noon.AddDate(0, 0, 7)),
	"/calendar/{token}": link.Calendar("ada", noon.AddDate(2, 0, 0)),
	"/settings/{token}": link.Settings("ada", "kolmi", noon.AddDate(0, 0, 30)),
}

// open are the addresses that need no link, and why.
var open = map[string]string{
	"/{$}": "the board, on loopback only: TestTheBoardIsOpenOnlyOnLoopback",
	"/":    "says that there is nothing here",
}

func TestNoAddressIsForgotten(t *testing.T) {
	source, err := os.ReadFile("pages.go")
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile(`HandleFunc\("(?:([A-Z]+) )?([^"]+)"`).FindAllSubmatch(source, -1)
	if len(found) < 8 {
		t.Fatalf("%d addresses were found in pages.go: the pattern doesn't fit any more", len(found))
	}
	for _, f := range found {
		_, linked := addresses[string(f[2])]
		if _, free := open[string(f[2])]; linked == free {
			t.Errorf("%s: say in this test what opens it", f[2])
		}
	}
}

func TestEveryAddressOpensByItsOwnLinkAlone(t *testing.T) {
	forged := func(c link.Claim) string { return link.Sign([]byte("another key of thirty-two bytes…"), c) }
	changed := func(change func(*link.Claim)) func(link.Claim) string {
		return func(c link.Claim) string {
			change(&c)
			return link.Sign(key, c)
		}
	}
	rows := []struct {
		sentence string
		token    func(link.Claim) string
		status   int
		says     words.Key
	}{
		{"its own link opens it", changed(func(*link.Claim) {}), 200, ""},
		{"without a token there is nothing", func(link.Claim) string { return "" }, 404, words.RefusedNowhere},
		{"a token of nothing is refused", func(link.Claim) string { return "x.y" }, 403, words.RefusedAltered},
		{"a forged token is refused", forged, 403, words.RefusedAltered},
		{"a token cut short is refused", func(c link.Claim) string { return link.Sign(key, c)[:60] }, 403, words.RefusedAltered},
		{"an expired token is refused", changed(func(c *link.Claim) { c.Expires = noon.Add(-time.Second) }), 410, words.RefusedExpired},
		{"a token that opens something else is refused", changed(func(c *link.Claim) {
			c.Opens = map[bool]string{true: "board", false: "form"}[c.Opens != "board"]
		}), 403, words.RefusedOther},
		{"a token that was withdrawn is refused", changed(func(c *link.Claim) { c.Person = "bo" }), 410, words.RefusedWithdrawn},
		{"a token from before a second withdrawal is refused", changed(func(c *link.Claim) { c.Person, c.Turn = "bo", 1 }), 410, words.RefusedWithdrawn},
		{"a token of a turn to come is refused", changed(func(c *link.Claim) { c.Turn = 1 }), 410, words.RefusedWithdrawn},
		{"a token of somebody who isn't known any more is refused", changed(func(c *link.Claim) { c.Person = "eve" }), 404, words.RefusedUnknown},
	}
	for pattern, claim := range addresses {
		for _, row := range rows {
			for _, method := range []string{"GET", "HEAD", "POST"} {
				s := &shelf{memory: newMemory(call.BagOn)}
				s.turns = map[string]int{"bo": 2}
				path := strings.Replace(pattern, "{token}", row.token(claim), 1)
				r := httptest.NewRequest(method, path, strings.NewReader("key=K&selfing.T1=2&control.T1=1&day=2031-05-03"))
				r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
				w := do(pagesOf(s), r)
				name := method + " " + pattern + ": " + row.sentence
				body := html.UnescapeString(w.Body.String())
				if row.status == 200 { // it lets in, whatever is then said of the form
					if w.Code >= 400 && method != "POST" || method == "POST" && w.Code == 403 {
						t.Errorf("%s: %d", name, w.Code)
					}
					continue
				}
				if posted := method == "POST" && (strings.HasPrefix(pattern, "/board") || strings.HasPrefix(pattern, "/calendar") || row.token(claim) == ""); posted {
					if w.Code != 405 {
						t.Errorf("%s: %d, want 405", name, w.Code)
					}
				} else if w.Code != row.status || method != "HEAD" && !strings.Contains(body, words.For("en").Text(row.says)) {
					t.Errorf("%s: %d, want %d with %q", name, w.Code, row.status, words.For("en").Text(row.says))
				}
				if len(s.reports)+s.confirmed > 0 || strings.Contains(body, "<form") || strings.Contains(body, "VCALENDAR") {
					t.Errorf("%s: something was shown or stored", name)
				}
			}
		}
	}
}

func TestALinkSignedAfterTheWithdrawalOpens(t *testing.T) {
	for pattern, claim := range addresses {
		s := &shelf{memory: newMemory(call.BagOn)}
		s.turns = map[string]int{"ada": 3}
		claim.Turn = 3
		if w := get(t, pagesOf(s), strings.Replace(pattern, "{token}", link.Sign(key, claim), 1)); w.Code != 200 {
			t.Errorf("%s: %d", pattern, w.Code)
		}
	}
}

func TestACalendarIsSentOnceForAsLongAsItIsTheSame(t *testing.T) {
	p := pagesOf(&shelf{memory: newMemory(call.BagOn)})
	path := "/calendar/" + link.Sign(key, addresses["/calendar/{token}"])
	first := get(t, p, path)
	tag := first.Header().Get("ETag")
	if first.Code != 200 || first.Header().Get("Content-Type") != "text/calendar; charset=utf-8" || len(tag) < 10 || !strings.HasPrefix(first.Body.String(), "BEGIN:VCALENDAR") {
		t.Fatalf("%d %v\n%s", first.Code, first.Header(), first.Body)
	}
	for _, row := range []struct {
		sentence, asked string
		status          int
	}{
		{"the same tag: nothing is sent", tag, 304},
		{"a proxy's weak form of it", "W/" + tag, 304},
		{"among others", `"x", ` + tag, 304},
		{"any", "*", 304},
		{"another", `"x"`, 200},
		{"its beginning", tag[:8] + `"`, 200},
		{"none", "", 200},
	} {
		r := httptest.NewRequest("GET", path, nil)
		r.Header.Set("If-None-Match", row.asked)
		w := do(p, r)
		if w.Code != row.status || w.Header().Get("ETag") != tag || (w.Code == 304) != (w.Body.Len() == 0) {
			t.Errorf("%s: %d with %d bytes", row.sentence, w.Code, w.Body.Len())
		}
		if c := w.Header().Values("Cache-Control"); !slices.Equal(c, []string{"private, no-cache"}) {
			t.Errorf("%s: Cache-Control %q", row.sentence, c)
		}
	}
}
