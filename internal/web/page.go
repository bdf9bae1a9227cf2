package web

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"html/template"
	"net/http"
	"strconv"

	"budcall/internal/words"
)

// style is the style sheet; the policy names its hash, so that no other works.
var style = template.CSS(mustRead("pages/style.css"))

var policy = "default-src 'none'; style-src '" + hashOf(string(style)) + "'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

func mustRead(name string) string {
	b, err := files.ReadFile(name)
	if err != nil {
		panic(err) // embedded: it is there or the build is broken
	}
	return string(b)
}

func hashOf(s string) string {
	sum := sha256.Sum256([]byte(s))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

// page is what every page has.
type page struct {
	C     *words.Catalogue
	Title string
	View  any
}

// Style gives the style sheet, to the byte as the policy knows it.
func (page) Style() template.CSS { return style }

// plain is a page that only says something.
type plain struct {
	Head, Do string
	Stored   bool // whether to leave out that nothing was stored
}

// show writes a page whole or not at all.
func (p *Pages) show(w http.ResponseWriter, r *http.Request, status int, name string, pg page) {
	var b bytes.Buffer
	if err := templates.ExecuteTemplate(&b, name, pg); err != nil {
		p.Logger.ErrorContext(r.Context(), "a page could not be made", "page", name, "error", err)
		http.Error(w, http.StatusText(http.StatusInternalServerError), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Content-Language", pg.C.Lang())
	w.Header().Set("Content-Length", strconv.Itoa(b.Len()))
	w.WriteHeader(status)
	if r.Method == http.MethodHead {
		return
	}
	if _, err := w.Write(b.Bytes()); err != nil {
		p.Logger.DebugContext(r.Context(), "a page was not read to its end", "page", name, "error", err)
	}
}

// refuse writes a page that says why not, and what to do.
func (p *Pages) refuse(w http.ResponseWriter, r *http.Request, status int, why, do words.Key, args ...words.Args) {
	c := p.words(r)
	v := plain{Head: c.Text(why), Do: c.Text(do, args...), Stored: r.Method == http.MethodGet || r.Method == http.MethodHead}
	p.show(w, r, status, "plain.html", page{C: c, Title: v.Head, View: v})
}

// failed writes the page for a memory that doesn't answer.
func (p *Pages) failed(w http.ResponseWriter, r *http.Request, doing string, err error) {
	p.Logger.ErrorContext(r.Context(), "the database did not answer a page; look after it, the page works again by itself", "doing", doing, "error", err)
	w.Header().Set("Retry-After", "60")
	if r.Method == http.MethodPost {
		p.refuse(w, r, http.StatusServiceUnavailable, words.RefusedMemoryForm, words.RefusedMemoryFormD)
		return
	}
	p.refuse(w, r, http.StatusServiceUnavailable, words.RefusedMemory, words.RefusedMemoryDo)
}
