package web

import (
	"net/http"

	"budcall/internal/words"
)

// openBoard shows the board without a link, where that is allowed.
func (p *Pages) openBoard(w http.ResponseWriter, r *http.Request) {
	if !p.boardIsOpen(r) {
		p.refuse(w, r, http.StatusForbidden, words.RefusedBoard, words.RefusedBoardDo)
		return
	}
	p.showBoard(w, r)
}

// linkedBoard shows the board to whoever has the link.
func (p *Pages) linkedBoard(w http.ResponseWriter, r *http.Request) {
	if _, ok := p.claim(w, r, opensBoard); ok {
		p.showBoard(w, r)
	}
}

func (p *Pages) showBoard(w http.ResponseWriter, r *http.Request) {
	b, err := p.Store.Board(r.Context())
	if err != nil {
		p.failed(w, r, "reading the board", err)
		return
	}
	c := p.words(r)
	v := viewBoard(c, b)
	if p.Version != "" {
		v.Version = c.Text(words.PageVersion, words.Args{"version": p.Version})
	}
	p.show(w, r, http.StatusOK, "board.html", page{C: c, Title: c.Text(words.BoardTitle), View: v})
}
