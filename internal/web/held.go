package web

import (
	"context"
	"net/http"

	"budcall/internal/link"
	"budcall/internal/words"
)

// Holder is the memory of mails that wait for somebody's yes.
type Holder interface {
	// Held gives what a mail would store; found is false where the mail or the
	// person is no longer known.
	Held(ctx context.Context, c link.Claim) (h Held, found bool, err error)
	// Confirm stores it, once: the second time stored is false.
	Confirm(ctx context.Context, c link.Claim) (stored bool, err error)
}

// Held is a mail that waits.
type Held struct {
	Lang      string
	Lines     []string // what it would store, said
	Confirmed bool
}

// heldView is the page of a mail that waits.
type heldView struct {
	Head, Do, Button string
	Lines            []string
	Stored, Again    bool
}

// held gives the mail of a link; where it can't, the page that says why is
// written and ok is false.
func (p *Pages) held(w http.ResponseWriter, r *http.Request) (c link.Claim, h Held, ok bool) {
	c, ok = p.claim(w, r, link.OpensHeld)
	if !ok {
		return c, h, false
	}
	if p.Holder == nil {
		p.refuse(w, r, http.StatusNotFound, words.RefusedUnknown, words.RefusedUnknownDo)
		return c, h, false
	}
	h, found, err := p.Holder.Held(r.Context(), c)
	switch {
	case err != nil:
		p.failed(w, r, "reading a mail that waits", err)
		return c, h, false
	case !found:
		p.refuse(w, r, http.StatusNotFound, words.RefusedUnknown, words.RefusedUnknownDo)
		return c, h, false
	}
	return c, h, true
}

// showHeld shows what a mail would store, and stores nothing: mail scanners
// follow every link.
func (p *Pages) showHeld(w http.ResponseWriter, r *http.Request) {
	_, h, ok := p.held(w, r)
	if !ok {
		return
	}
	c := words.For(h.Lang)
	v := heldView{Head: c.Text(words.HeldTitle), Do: c.Text(words.HeldDo), Button: c.Text(words.HeldButton), Lines: h.Lines, Stored: h.Confirmed}
	if h.Confirmed {
		v.Do = c.Text(words.HeldStored)
	}
	p.show(w, r, http.StatusOK, "held.html", page{C: c, Title: v.Head, View: v})
}

// takeHeld stores it and leads back to the page. Pressing twice stores once.
func (p *Pages) takeHeld(w http.ResponseWriter, r *http.Request) {
	c, _, ok := p.held(w, r)
	if !ok || !p.parse(w, r) {
		return
	}
	stored, err := p.Holder.Confirm(r.Context(), c)
	if err != nil {
		p.failed(w, r, "storing what a mail says", err)
		return
	}
	p.Logger.InfoContext(r.Context(), "a mail was confirmed", "mail", c.Arrived(), "stored", stored)
	w.Header().Set("Location", "?done="+doneStored)
	w.WriteHeader(http.StatusSeeOther)
}
