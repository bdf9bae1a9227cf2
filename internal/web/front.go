package web

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"net/url"
	"path"
	"slices"
	"strings"
	"sync"
	"time"
)

// Front is the pages of one or more programmes at one listener. A single one
// answers at the root, and under the path of its public address too, so that it
// doesn't matter whether a proxy takes that off. Several are told apart by these
// paths; what is under none of them isn't there, and the answer says no more.
type Front struct {
	lost *Pages

	mu  sync.RWMutex
	all []*Place
}

// Place is a programme's pages and where at the listener they are.
type Place struct {
	// Path gives the path of the public address, "/north", or nothing where it
	// has none. It is asked at each request, since the address may change.
	Path  func() string
	Pages *Pages
}

// NewFront gives a listener's pages, of no programme yet.
func NewFront(log *slog.Logger) *Front {
	lost := &Pages{Options: Options{Store: nothing{}, Logger: log}, mux: http.NewServeMux()}
	lost.mux.HandleFunc("/", lost.nowhere)
	return &Front{lost: lost}
}

// nothing is the memory of pages that need none.
type nothing struct{ Store }

func (nothing) Now(context.Context) (time.Time, error) {
	return time.Time{}, errors.New("there is no programme here")
}

// Add adds a programme's pages.
func (f *Front) Add(p *Place) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.all = append(slices.Clone(f.all), p)
}

// Remove takes a programme's pages out.
func (f *Front) Remove(p *Place) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.all = slices.DeleteFunc(slices.Clone(f.all), func(one *Place) bool { return one == p })
}

// ServeHTTP implements http.Handler.
func (f *Front) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	f.mu.RLock()
	all := f.all
	f.mu.RUnlock()
	asked := r.URL.Path
	if clean := path.Clean(asked); len(all) > 1 && strings.HasPrefix(asked, "/") && clean != strings.TrimSuffix(asked, "/") && clean != asked {
		// The programme's own pages would lead past its path.
		http.Redirect(w, r, (&url.URL{Path: clean, RawQuery: r.URL.RawQuery}).String(), http.StatusPermanentRedirect)
		return
	}
	p, at := choose(all, asked)
	switch {
	case p == nil:
		f.lost.ServeHTTP(w, r)
	case at == "":
		p.Pages.ServeHTTP(w, r)
	case asked == at:
		r = r.Clone(r.Context())
		r.URL.Path, r.URL.RawPath = "/", ""
		p.Pages.ServeHTTP(w, r)
	default:
		http.StripPrefix(at, p.Pages).ServeHTTP(w, r)
	}
}

// choose gives whose page is asked for, and the path to take off: the longest
// that fits. A single programme has the root beside its path.
func choose(all []*Place, asked string) (best *Place, at string) {
	for _, p := range all {
		under := p.Path()
		if len(all) == 1 && (!within(asked, under) || p.Pages.Has(under)) {
			return p, ""
		}
		if within(asked, under) && (best == nil || len(under) > len(at)) {
			best, at = p, under
		}
	}
	return best, at
}

// within reports whether a path is another one or lies under it.
func within(asked, under string) bool {
	rest, ok := strings.CutPrefix(asked, under)
	return ok && (rest == "" || under == "" || rest[0] == '/')
}

// Has reports whether there are pages under a path, "/form": a programme beside
// one that has the root can't have that path.
func (p *Pages) Has(under string) bool {
	if under == "" {
		return true
	}
	for _, asked := range []string{under, under + "/token"} {
		r := &http.Request{Method: http.MethodGet, URL: &url.URL{Path: asked}}
		if _, pattern := p.mux.Handler(r); pattern != "/" {
			return true
		}
	}
	return false
}
