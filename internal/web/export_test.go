package web

import (
	"net/netip"
	"net/url"
	"time"

	"budcall/internal/trail"
	"budcall/internal/words"
)

// Problem is what a form must mend, for tests.
type Problem struct {
	Field string
	Key   words.Key
}

// ReadForm is reports, for tests.
func ReadForm(in url.Values, f Form) ([]trail.Report, []Problem) {
	list, problems := reports(in, f)
	var out []Problem
	for _, p := range problems {
		out = append(out, Problem{Field: p.Field, Key: p.Key})
	}
	return list, out
}

// WithKeys makes p give forms the keys that next gives.
func (p *Pages) WithKeys(next func() string) { p.key = next }

// WithClock sets the clock of the limit.
func (p *Pages) WithClock(now func() time.Time) { p.clock = now }

// Remembered gives how many networks the limit remembers.
func (p *Pages) Remembered() int { return len(p.limit.left) }

// WrongLink counts a wrong link from a network.
func (p *Pages) WrongLink(from netip.Prefix, now time.Time) bool { return p.limit.take(from, now) }

// MaxNetworks is the bound on what the limit remembers.
const MaxNetworks = maxNetworks

// TemplateTexts gives the sources of the templates, by file.
func TemplateTexts() map[string]string {
	out := map[string]string{}
	entries, err := files.ReadDir("pages")
	if err != nil {
		panic(err)
	}
	for _, e := range entries {
		out[e.Name()] = mustRead("pages/" + e.Name())
	}
	return out
}
