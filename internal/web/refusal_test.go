package web_test

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"net/url"
	"strings"
	"testing"
	"time"

	"budcall/internal/call"
	"budcall/internal/link"
	"budcall/internal/web"
	"budcall/internal/words"
)

func TestNothingIsStoredWithoutTheRightLink(t *testing.T) {
	good := claimOf(call.BagOn)
	with := func(change func(*link.Claim)) string {
		c := good
		change(&c)
		return formPath(c)
	}
	altered := []byte(formPath(good))
	altered[20] ^= 1
	rows := []struct {
		name, path string
		status     int
		says       words.Key
	}{
		{"a link without its token is no page", "/form/", 404, words.RefusedNowhere},
		{"a token with one letter changed is refused", string(altered), 403, words.RefusedAltered},
		{"a token cut short is refused", formPath(good)[:40], 403, words.RefusedAltered},
		{"a token with something after it is refused", formPath(good) + "A", 403, words.RefusedAltered},
		{"a token signed by another key is refused", "/form/" + link.Sign([]byte("another key of thirty-two bytes…"), good), 403, words.RefusedAltered},
		{"an expired token is refused", with(func(c *link.Claim) { c.Expires = noon.Add(-time.Second) }), 410, words.RefusedExpired},
		{"a person no longer known gets no form", with(func(c *link.Claim) { c.Person = "eve" }), 404, words.RefusedUnknown},
		{"a site no longer known gets no form", with(func(c *link.Claim) { c.Site = "nowhere" }), 404, words.RefusedUnknown},
		{"a link to the board opens no form", with(func(c *link.Claim) { c.Opens = "board" }), 403, words.RefusedOther},
		{"a link to nothing known opens no form", with(func(c *link.Claim) { c.Opens = "" }), 403, words.RefusedOther},
		{"a link to a form opens no board", "/board/" + link.Sign(key, good), 403, words.RefusedOther},
		{"a path of nothing is a clear page", "/elsewhere", 404, words.RefusedNowhere},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			m := newMemory(call.BagOn)
			p := newPages(m)
			says := strings.ReplaceAll(words.For("en").Text(row.says), "'", "&#39;")
			w := get(t, p, row.path)
			if w.Code != row.status || !strings.Contains(w.Body.String(), says) {
				t.Errorf("GET: %d, want %d with %q:\n%s", w.Code, row.status, says, w.Body)
			}
			if strings.Contains(w.Body.String(), "<form") {
				t.Error("a form is shown")
			}
			w = post(t, p, row.path, url.Values{"key": {"K"}, "selfing.T1": {"2"}})
			if strings.HasPrefix(row.path, "/form/") && row.path != "/form/" && w.Code != row.status {
				t.Errorf("POST: %d, want %d", w.Code, row.status)
			}
			if w.Code < 400 || len(m.reports) > 0 {
				t.Errorf("POST: %d, and %d reports are stored", w.Code, len(m.reports))
			}
		})
	}
}

func TestShowingStoresNothing(t *testing.T) {
	m := newMemory(call.BagOn)
	p := newPages(m)
	for _, method := range []string{"GET", "HEAD", "OPTIONS", "PUT", "DELETE", "PATCH"} {
		for _, query := range []string{"", "?selfing.T1=2&control.T1=1&key=K", "?done=stored"} {
			w := do(p, httptest.NewRequest(method, formPath(claimOf(call.BagOn))+query, nil))
			if want := method == "GET" || method == "HEAD"; (w.Code == 200) != want {
				t.Errorf("%s: %d", method, w.Code)
			}
			if method == "HEAD" && w.Body.Len() > 0 {
				t.Error("HEAD has a body")
			}
			if strings.Contains(w.Body.String(), words.For("en").Text(words.FormStored)) {
				t.Errorf("%s %s claims that something was stored", method, query)
			}
		}
	}
	if len(m.reports)+len(m.keys) > 0 {
		t.Errorf("stored: %v", m.reports)
	}
}

func TestABodyThatIsNoFormIsRefused(t *testing.T) {
	big := "key=K&selfing.T1=2&x=" + strings.Repeat("a", 70_000)
	for name, row := range map[string]struct {
		kind, body string
		status     int
	}{
		"too big":             {"application/x-www-form-urlencoded", big, 413},
		"of another kind":     {"text/plain", "selfing.T1=2", 415},
		"of no kind":          {"", "selfing.T1=2", 415},
		"in parts, of none":   {"multipart/form-data; boundary=b", "--b--\r\n", 422},
		"in parts, unnamed":   {"multipart/form-data", "--b--", 400},
		"garbled":             {"application/x-www-form-urlencoded", "selfing.T1=%zz", 400},
		"with a semicolon":    {"application/x-www-form-urlencoded", "selfing.T1=2;control.T1=1", 400},
		"empty":               {"application/x-www-form-urlencoded", "", 422},
		"of a kind no reader": {"application/x-www-form-urlencoded; =", "selfing.T1=2", 415},
	} {
		t.Run(name, func(t *testing.T) {
			m := newMemory(call.BagOn)
			r := httptest.NewRequest("POST", formPath(claimOf(call.BagOn)), strings.NewReader(row.body))
			r.Header.Set("Content-Type", row.kind)
			if w := do(newPages(m), r); w.Code != row.status || len(m.reports) > 0 {
				t.Errorf("%d, want %d; stored %v", w.Code, row.status, m.reports)
			}
		})
	}
}

func TestADatabaseThatIsDownIsSaid(t *testing.T) {
	m := newMemory(call.BagOn)
	m.down = true
	p := newPages(m)
	for _, w := range []*httptest.ResponseRecorder{
		get(t, p, formPath(claimOf(call.BagOn))),
		get(t, p, "/board/"+link.Sign(key, link.Claim{Opens: "board", Expires: noon})),
		post(t, p, formPath(claimOf(call.BagOn)), url.Values{"selfing.T1": {"2"}}),
	} {
		if w.Code != 503 || w.Header().Get("Retry-After") == "" || strings.Contains(w.Body.String(), errDown.Error()) {
			t.Errorf("%d %v\n%s", w.Code, w.Header(), w.Body)
		}
	}
}

func TestEveryAnswerHasTheStrictHeaders(t *testing.T) {
	p := newPages(newMemory(call.BagOn))
	for _, path := range []string{"/", "/nowhere", "/form/x", formPath(claimOf(call.BagOn))} {
		h := get(t, p, path).Header()
		for name, want := range map[string]string{
			"Referrer-Policy": "no-referrer", "Cache-Control": "no-store", "X-Content-Type-Options": "nosniff",
			"Content-Type": "text/html; charset=utf-8", "Content-Language": "en",
		} {
			if h.Get(name) != want {
				t.Errorf("%s: %s is %q, want %q", path, name, h.Get(name), want)
			}
		}
		for _, part := range []string{"default-src 'none'", "style-src 'sha256-", "form-action 'self'", "frame-ancestors 'none'", "base-uri 'none'"} {
			if !strings.Contains(h.Get("Content-Security-Policy"), part) {
				t.Errorf("%s: the policy lacks %q", path, part)
			}
		}
	}
}

func TestTheBoardIsOpenOnlyOnLoopback(t *testing.T) {
	for name, row := range map[string]struct {
		open         bool
		host, public string
		header       string
		status       int
	}{
		"on loopback by its name":                       {true, "localhost:8080", "", "", 200},
		"on loopback by its number":                     {true, "127.0.0.1:8080", "", "", 200},
		"on loopback of IPv6":                           {true, "[::1]:8080", "", "", 200},
		"on loopback without a port":                    {true, "[::1]", "http://localhost:8080", "", 200},
		"not when it was not asked for":                 {false, "localhost", "", "", 403},
		"not under a foreign name that leads here":      {true, "evil.example", "", "", 403},
		"not under a name that only begins like it":     {true, "localhost.evil.example", "", "", 403},
		"not through a proxy":                           {true, "127.0.0.1:8080", "", "X-Forwarded-For", 403},
		"not where people reach the pages from outside": {true, "127.0.0.1:8080", "https://budcall.example", "", 403},
		"not under no name":                             {true, "", "", "", 403},
	} {
		t.Run(name, func(t *testing.T) {
			p := web.New(web.Options{Store: newMemory(call.BagOn), Key: key, OpenBoard: row.open, PublicURL: row.public})
			r := httptest.NewRequest("GET", "/", nil)
			r.Host = row.host
			if row.header != "" {
				r.Header.Set(row.header, "192.0.2.1")
			}
			if w := do(p, r); w.Code != row.status {
				t.Errorf("%d, want %d", w.Code, row.status)
			}
		})
	}
}

func TestWrongLinksAreCountedAndCorrectOnesAreNot(t *testing.T) {
	p := newPages(newMemory(call.BagOn))
	now := noon
	p.WithClock(func() time.Time { return now })
	refused := 0
	for range 50 {
		if get(t, p, "/form/guess.guess").Code == http.StatusTooManyRequests {
			refused++
		}
	}
	if refused != 30 { // 50 tries, 20 allowed at once
		t.Errorf("%d of 50 were refused, want 30", refused)
	}
	if w := get(t, p, formPath(claimOf(call.BagOn))); w.Code != 200 {
		t.Errorf("the correct link is held up: %d", w.Code)
	}
	now = now.Add(3 * time.Second)
	if w := get(t, p, "/form/guess.guess"); w.Code != 403 {
		t.Errorf("after a while: %d, want 403", w.Code)
	}
}

func TestTheLimitRemembersABoundedNumberOfNetworks(t *testing.T) {
	p := newPages(newMemory(call.BagOn))
	for i := range 3 * web.MaxNetworks {
		a := netip.AddrFrom4([4]byte{10, byte(i >> 16), byte(i >> 8), byte(i)})
		p.WrongLink(netip.PrefixFrom(a, 32), noon)
		if n := p.Remembered(); n > web.MaxNetworks {
			t.Fatalf("%d networks are remembered", n)
		}
	}
}

func TestTheTokenIsNotLogged(t *testing.T) {
	var log bytes.Buffer
	m := newMemory(call.BagOn)
	p := web.New(web.Options{Store: m, Key: key, Logger: textLogger(&log)})
	path := formPath(claimOf(call.BagOn))
	post(t, p, path, url.Values{"key": {"K"}, "selfing.T1": {"2"}})
	m.down = true
	get(t, p, path)
	if s := log.String(); s == "" || strings.Contains(s, path[10:30]) || strings.Contains(s, "ada") || strings.Contains(s, "Ada") {
		t.Errorf("log:\n%s", s)
	}
}
