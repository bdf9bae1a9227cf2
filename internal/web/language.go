package web

import (
	"errors"
	"net/http"
	"strconv"
	"strings"

	"budcall/internal/link"
	"budcall/internal/words"
)

// words gives the catalogue of an answer: that of the person whom the link was
// made for, also where it has expired; without such a link the one that the
// browser asks for, and else the programme's.
func (p *Pages) words(r *http.Request) *words.Catalogue {
	if now, err := p.Store.Now(r.Context()); err == nil && r.PathValue("token") != "" {
		c, err := link.Open(p.Key, r.PathValue("token"), now)
		if lang := p.langOf(c.Person); lang != "" && (err == nil || errors.Is(err, link.ErrExpired)) {
			return words.For(lang)
		}
	}
	if lang := accepted(r.Header.Get("Accept-Language"), words.Languages()); lang != "" {
		return words.For(lang)
	}
	return words.For(p.langOf(""))
}

// langOf gives the language of a person, or the programme's; empty where it
// isn't known.
func (p *Pages) langOf(person string) string {
	if p.LangOf == nil {
		return ""
	}
	return p.LangOf(person)
}

// accepted gives which of the languages a browser likes best by its header
// Accept-Language (RFC 9110, section 12.5.4), or nothing where it likes none of
// them; of several liked alike it is the first.
func accepted(header string, languages []string) (best string) {
	most := 0.0
	for _, part := range strings.Split(header, ",") {
		tag, weight, weighed := strings.Cut(part, ";")
		base, _, _ := strings.Cut(strings.ToLower(strings.TrimSpace(tag)), "-")
		q := 1.0
		if weighed {
			value, isWeight := strings.CutPrefix(strings.ToLower(strings.ReplaceAll(weight, " ", "")), "q=")
			n, err := strconv.ParseFloat(value, 64)
			if !isWeight || err != nil {
				continue
			}
			q = n
		}
		for _, l := range languages {
			if l == base && q > most && q <= 1 {
				best, most = l, q
			}
		}
	}
	return best
}
