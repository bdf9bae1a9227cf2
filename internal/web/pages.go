package web

import (
	"crypto/rand"
	"embed"
	"html/template"
	"log/slog"
	"net/http"
	"time"

	"budcall/internal/words"
)

// Options is what the pages work with.
type Options struct {
	Store  Store
	Holder Holder // of mails that wait for a yes; nil: there are none

	Calendars Calendars // of people; nil: there are none
	Settings  Settings  // of sites; nil: none can be changed here
	Key       []byte    // of the links, as given to link.Sign
	// OpenBoard shows the board without a link. It is meant for a listener on
	// loopback only, and holds only for requests to a loopback name that did
	// not come through a proxy, while PublicURL is empty or on loopback.
	OpenBoard bool
	PublicURL string // where people reach the pages, empty on loopback
	Logger    *slog.Logger
	Version   string // shown on the board
	// LangOf gives the language of a person by code, and that of the programme
	// for no code; empty where it isn't known. Nil: all is English.
	LangOf func(person string) string
}

// Pages is the handler of all pages.
type Pages struct {
	Options
	mux   *http.ServeMux
	limit *limiter
	key   func() string    // makes the key of a form
	clock func() time.Time // of the limit, the wall clock

	uploads chan struct{} // forms with photos that are being read, since they are large
}

//go:embed pages
var files embed.FS

var templates = template.Must(template.New("").ParseFS(files, "pages/*.html"))

// New gives the pages. It starts nothing.
func New(o Options) *Pages {
	p := &Pages{Options: o, mux: http.NewServeMux(), limit: newLimiter(), key: rand.Text, clock: time.Now, uploads: make(chan struct{}, uploadsAtOnce)}
	if p.Logger == nil {
		p.Logger = slog.New(slog.DiscardHandler)
	}
	p.mux.HandleFunc("GET /{$}", p.openBoard)
	p.mux.HandleFunc("GET /board/{token}", p.linkedBoard)
	p.mux.HandleFunc("GET /form/{token}", p.showForm)
	p.mux.HandleFunc("POST /form/{token}", p.takeForm)
	p.mux.HandleFunc("/form/{token}", p.wrongMethod)
	p.mux.HandleFunc("GET /held/{token}", p.showHeld)
	p.mux.HandleFunc("POST /held/{token}", p.takeHeld)
	p.mux.HandleFunc("/held/{token}", p.wrongMethod)
	p.mux.HandleFunc("GET /calendar/{token}", p.showCalendar)
	p.mux.HandleFunc("GET /settings/{token}", p.showSettings)
	p.mux.HandleFunc("POST /settings/{token}", p.takeSettings)
	p.mux.HandleFunc("/settings/{token}", p.wrongMethod)
	p.mux.HandleFunc("/", p.nowhere)
	return p
}

// ServeHTTP answers a request. Every answer forbids scripts, frames, foreign
// content, caching and the sending on of its address, since that is a key.
func (p *Pages) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Content-Security-Policy", policy)
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cache-Control", "no-store")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("X-Robots-Tag", "noindex, nofollow")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
	p.mux.ServeHTTP(w, r)
}

func (p *Pages) nowhere(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		p.wrongMethod(w, r)
		return
	}
	p.refuse(w, r, http.StatusNotFound, words.RefusedNowhere, words.RefusedNowhereDo)
}

func (p *Pages) wrongMethod(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Allow", "GET, HEAD, POST")
	p.refuse(w, r, http.StatusMethodNotAllowed, words.RefusedMethod, words.RefusedMethodDo)
}
