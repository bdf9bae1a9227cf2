package web

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"mime"
	"net/http"
	"net/url"
	"time"

	"budcall/internal/link"
	"budcall/internal/trail"
	"budcall/internal/words"
)

// maxForm bounds what a form may hold, in bytes; the largest real one has a
// few thousand.
const maxForm = 64 << 10

// What the address of a form says after something was sent with it.
const (
	doneStored = "stored"
	doneAgain  = "again"
)

// form gives what a link's form shows; where it can't, the page that says why
// is written and ok is false.
func (p *Pages) form(w http.ResponseWriter, r *http.Request) (f Form, ok bool) {
	c, ok := p.claim(w, r, opensForm)
	if !ok {
		return f, false
	}
	f, found, err := p.Store.Form(r.Context(), c)
	switch {
	case err != nil:
		p.failed(w, r, "reading a form", err)
		return f, false
	case !found:
		p.refuse(w, r, http.StatusNotFound, words.RefusedUnknown, words.RefusedUnknownDo)
		return f, false
	case f.Stranger:
		p.refuse(w, r, http.StatusForbidden, words.RefusedStranger, words.RefusedStrangerDo)
		return f, false
	}
	return f, true
}

// showForm shows the form and stores nothing, since mail scanners follow
// every link.
func (p *Pages) showForm(w http.ResponseWriter, r *http.Request) {
	f, ok := p.form(w, r)
	if !ok {
		return
	}
	in := url.Values{fieldKey: {p.key()}}
	v := viewForm(f, in, nil)
	done := r.URL.Query().Get("done")
	if len(f.Reports)+f.Photos > 0 {
		v.Stored, v.Again = done == doneStored, done == doneAgain
	}
	if v.Stored || v.Again {
		v.PhotosOut = photoProblems(v.C, r.URL.Query()["photo"])
	}
	p.show(w, r, http.StatusOK, "form.html", page{C: v.C, Title: v.Title, View: v})
}

// takeForm stores what a form says and leads back to it.
func (p *Pages) takeForm(w http.ResponseWriter, r *http.Request) {
	f, ok := p.form(w, r)
	if !ok {
		return
	}
	ph, ok := p.parseForm(w, r, f)
	if !ok {
		return
	}
	list, problems := reports(r.PostForm, f)
	if len(ph.kept) > 0 && len(problems) == 1 && problems[0].Key == words.ProblemNothing {
		problems = nil // the photos are what it says
	}
	if len(problems) > 0 {
		problems = append(problems, ph.problems()...)
		v := viewForm(f, r.PostForm, problems)
		p.show(w, r, http.StatusUnprocessableEntity, "form.html", page{C: v.C, Title: v.Title, View: v})
		return
	}
	p.store(w, r, f, Sent{Reports: list, Photos: ph.kept}, ph.query())
}

// parseForm reads the body of a form, in parts or not.
func (p *Pages) parseForm(w http.ResponseWriter, r *http.Request, f Form) (ph photos, ok bool) {
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "multipart/form-data" {
		return ph, p.parse(w, r)
	}
	select {
	case p.uploads <- struct{}{}:
		defer func() { <-p.uploads }()
	case <-r.Context().Done():
		return ph, false
	}
	in, ph, err := p.parts(w, r, f.MaxUpload)
	var big *http.MaxBytesError
	switch {
	case errors.Is(err, errTooManyFields) || errors.As(err, &big):
		p.refuse(w, r, http.StatusRequestEntityTooLarge, words.RefusedBig, words.RefusedBigDo)
	case err != nil:
		p.refuse(w, r, http.StatusBadRequest, words.RefusedEncoding, words.RefusedEncodingDo)
	}
	r.PostForm = in
	return ph, err == nil
}

// parse reads the body of a form.
func (p *Pages) parse(w http.ResponseWriter, r *http.Request) bool { return p.parseUpTo(w, r, maxForm) }

// parseUpTo reads the body of a form that may have so many bytes.
func (p *Pages) parseUpTo(w http.ResponseWriter, r *http.Request, most int64) bool {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || kind != "application/x-www-form-urlencoded" {
		p.refuse(w, r, http.StatusUnsupportedMediaType, words.RefusedEncoding, words.RefusedEncodingDo)
		return false
	}
	r.Body = http.MaxBytesReader(w, r.Body, most)
	err = r.ParseForm()
	var big *http.MaxBytesError
	switch {
	case errors.As(err, &big):
		p.refuse(w, r, http.StatusRequestEntityTooLarge, words.RefusedBig, words.RefusedBigDo)
	case err != nil:
		p.refuse(w, r, http.StatusBadRequest, words.RefusedEncoding, words.RefusedEncodingDo)
	}
	return err == nil
}

// store stores what was said and leads back to the form; refused is the photos
// that were kept out, for the address.
func (p *Pages) store(w http.ResponseWriter, r *http.Request, f Form, s Sent, refused string) {
	c, list := f.Claim, s.Reports
	now, err := p.Store.Now(r.Context())
	if err != nil {
		p.failed(w, r, "asking for the time", err)
		return
	}
	key := keyOf(c, r.PostForm.Get(fieldKey), list)
	for i := range list {
		list[i].At = now
	}
	var stored bool
	if len(s.Photos) > 0 {
		stored, err = p.storePhotos(r, f, key, s)
	} else {
		stored, err = p.Store.Report(r.Context(), c, key, list)
	}
	if err != nil {
		p.failed(w, r, "storing a report", err)
		return
	}
	done := doneAgain
	if stored {
		done = doneStored
	}
	p.Logger.InfoContext(r.Context(), "a form was sent", "site", c.Site, "task", c.Task, "reports", len(list), "photos", len(s.Photos), "stored", stored)
	// Relative, so that it holds behind a proxy that serves us under a folder.
	w.Header().Set("Location", "?done="+done+refused)
	w.WriteHeader(http.StatusSeeOther)
}

// keyOf gives the key under which reports are stored: of the form as it was
// shown (made, by chance, at each showing) and of what it says. So a form that
// is sent twice is stored once, but one that was corrected after "back" isn't
// taken for the same. The reports must not have their moment yet.
func keyOf(c link.Claim, shown string, list []trail.Report) string {
	c.Expires = time.Time{} // two mails of one call link to the same form
	said, err := json.Marshal(struct {
		Claim   link.Claim
		Shown   string
		Reports []trail.Report
	}{c, shown, list})
	if err != nil {
		panic(err) // strings, numbers and days always encode
	}
	sum := sha256.Sum256(said)
	return "form-" + hex.EncodeToString(sum[:16])
}
