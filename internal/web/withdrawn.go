package web

import (
	"net/http"

	"budcall/internal/link"
	"budcall/internal/words"
)

// holds tells whether a correct link still opens something: its person is
// known, and their links weren't withdrawn since it was signed. Where it
// doesn't, the page that says so is written.
func (p *Pages) holds(w http.ResponseWriter, r *http.Request, c link.Claim) bool {
	turn, known, err := p.Store.Turn(r.Context(), c.Person)
	switch {
	case err != nil:
		p.failed(w, r, "asking whether a link was withdrawn", err)
	case !known:
		p.refuse(w, r, http.StatusNotFound, words.RefusedUnknown, words.RefusedUnknownDo)
	case c.Turn != turn:
		p.refuse(w, r, http.StatusGone, words.RefusedWithdrawn, words.RefusedWithdrawnDo)
	default:
		return true
	}
	return false
}
