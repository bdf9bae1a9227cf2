package web_test

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/link"
	"budcall/internal/notice"
	"budcall/internal/report"
	"budcall/internal/trail"
	"budcall/internal/web"
)

var (
	key  = []byte("a key of thirty-two bytes or more")
	zone = time.FixedZone("EEST", 3*3600)
	noon = time.Date(2031, 5, 3, 12, 0, 0, 0, zone) // a Saturday
)

// memory is a Store in memory.
type memory struct {
	mu      sync.Mutex
	form    web.Form
	board   web.Board
	known   bool // whether the call and the person are known
	down    bool
	keys    map[string]bool
	turns   map[string]int // how often links were withdrawn
	reports []trail.Report
	photos  []report.Photo
}

var errDown = errors.New("the database is down")

func (m *memory) Now(context.Context) (time.Time, error) { return noon, nil }

func (m *memory) Board(context.Context) (web.Board, error) {
	if m.down {
		return web.Board{}, errDown
	}
	return m.board, nil
}

func (m *memory) Form(_ context.Context, c link.Claim) (web.Form, bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.down {
		return web.Form{}, false, errDown
	}
	f := m.form
	f.Claim = c
	f.Photos = len(m.photos)
	f.Reports = slices.Clone(m.reports)
	slices.Reverse(f.Reports)
	return f, m.known && c.Person == "ada" && c.Site == "kolmi", nil
}

func (m *memory) Report(_ context.Context, _ link.Claim, key string, list []trail.Report) (bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.keys[key] {
		return false, nil
	}
	m.keys[key] = true
	m.reports = append(m.reports, list...)
	return true, nil
}

func (m *memory) ReportPhotos(ctx context.Context, c link.Claim, key string, s web.Sent) (bool, error) {
	if _, err := m.Report(ctx, c, key, s.Reports); err != nil {
		return false, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	fresh := false
	for _, p := range s.Photos {
		if id := fmt.Sprintf("%s %x", key, sha256.Sum256(p.Bytes)); !m.keys[id] {
			m.keys[id], fresh = true, true
			m.photos = append(m.photos, p)
		}
	}
	return fresh, nil
}

func claimOf(task call.Task) link.Claim {
	return link.Claim{Opens: "form", Person: "ada", Site: "kolmi", Task: string(task), Season: 2031, Expires: noon.AddDate(0, 0, 20)}
}

// formOf is the form of a task at an invented site of four trees, of which the
// first three still need something.
func formOf(task call.Task) web.Form {
	f := web.Form{
		Claim: claimOf(task), Person: "Ada Nordlund", Lang: "en", SiteName: "Kolmivaara", Today: civil.At(noon),
		Item: notice.Item{
			Site: "kolmi", SiteName: "Kolmivaara", Task: task, Standing: call.Go, Reason: call.BestDaysBegin,
			Days: civil.Range{First: civil.MustParse("2031-05-02"), Last: civil.MustParse("2031-05-07")},
			Best: civil.MustParse("2031-05-04"),
		},
	}
	if slices.Contains([]call.Task{call.SurveyTrees, call.BagOn, call.CheckBags, call.TakeOff, call.PickSeed, call.LotExpected}, task) {
		f.Item.Trees = []notice.TreeNeed{
			{Code: "KV-017", Short: "T1", Selfing: 2, Control: 1}, {Code: "KV-022", Short: "T2", Selfing: 2, Control: 1},
			{Code: "KV-031", Short: "T3", Selfing: 1, Control: 1}, {Code: "KV-040", Short: "T4"},
		}
	}
	return f
}

func newMemory(task call.Task) *memory {
	return &memory{form: formOf(task), board: exampleBoard(), known: true, keys: map[string]bool{}}
}

func newPages(m *memory) *web.Pages {
	p := web.New(web.Options{Store: m, Key: key, Version: "v0"})
	n := 0
	p.WithKeys(func() string { n++; return fmt.Sprintf("KEY%d", n) })
	return p
}

func get(t *testing.T, h http.Handler, path string) *httptest.ResponseRecorder {
	t.Helper()
	return do(h, httptest.NewRequest(http.MethodGet, path, nil))
}

func post(t *testing.T, h http.Handler, path string, in url.Values) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(in.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return do(h, r)
}

func do(h http.Handler, r *http.Request) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func formPath(c link.Claim) string { return "/form/" + link.Sign(key, c) }
