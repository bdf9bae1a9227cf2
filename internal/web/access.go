package web

import (
	"errors"
	"net"
	"net/http"
	"net/netip"
	"net/url"

	"budcall/internal/civil"
	"budcall/internal/link"
	"budcall/internal/words"
)

// What a link can open.
const (
	opensForm     = "form"
	opensBoard    = "board"
	opensCalendar = link.OpensCalendar
)

// claim opens the token of a request; where it is refused the page that says
// so is written and ok is false. A correct link is never held up by the limit.
func (p *Pages) claim(w http.ResponseWriter, r *http.Request, opens string) (c link.Claim, ok bool) {
	now, err := p.Store.Now(r.Context())
	if err != nil {
		p.failed(w, r, "asking for the time", err)
		return c, false
	}
	c, err = link.Open(p.Key, r.PathValue("token"), now)
	switch {
	case err == nil && c.Opens == opens:
		return c, p.holds(w, r, c)
	case err == nil:
		p.refuse(w, r, http.StatusForbidden, words.RefusedOther, words.RefusedOtherDo)
	case errors.Is(err, link.ErrExpired):
		day := p.words(r).DayYear(civil.At(c.Expires.In(now.Location())))
		p.refuse(w, r, http.StatusGone, words.RefusedExpired, words.RefusedExpiredDo, words.Args{"day": day})
	case !p.limit.take(addressOf(r), p.clock()):
		w.Header().Set("Retry-After", "60")
		p.refuse(w, r, http.StatusTooManyRequests, words.RefusedOften, words.RefusedOftenDo)
	default:
		p.refuse(w, r, http.StatusForbidden, words.RefusedAltered, words.RefusedAlteredDo)
	}
	return c, false
}

// addressOf gives the network that a request came from: an IPv4 address, or
// the /64 of an IPv6 one, since that is what one subscriber has.
func addressOf(r *http.Request) netip.Prefix {
	ap, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil {
		return netip.Prefix{} // a socket file or a test: all in one
	}
	a := ap.Addr().Unmap().WithZone("")
	bits := 64
	if a.Is4() {
		bits = 32
	}
	network, _ := a.Prefix(bits)
	return network
}

// boardIsOpen reports whether a request may see the board without a link. The
// name asked for must be a loopback one, lest a foreign page reads the board
// through a name of its own that leads here.
func (p *Pages) boardIsOpen(r *http.Request) bool {
	if !p.OpenBoard || !loopbackName(r.Host) {
		return false
	}
	if u, err := url.Parse(p.PublicURL); err != nil || p.PublicURL != "" && !loopbackName(u.Host) {
		return false
	}
	for _, h := range []string{"Forwarded", "X-Forwarded-For", "X-Forwarded-Host", "X-Real-Ip", "Via"} {
		if r.Header.Get(h) != "" {
			return false
		}
	}
	return true
}

func loopbackName(host string) bool {
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	if host == "localhost" {
		return true
	}
	if n := len(host); n > 2 && host[0] == '[' && host[n-1] == ']' {
		host = host[1 : n-1]
	}
	a, err := netip.ParseAddr(host)
	return err == nil && a.Unmap().IsLoopback()
}
