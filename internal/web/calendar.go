package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"strconv"
	"strings"

	"budcall/internal/link"
	"budcall/internal/words"
)

// Calendars gives people their calls as a calendar.
type Calendars interface {
	// Calendar gives the bytes of a person's calendar (RFC 5545); found is false
	// where the person is no longer known. The same calls give the same bytes.
	Calendar(ctx context.Context, c link.Claim) (ics []byte, found bool, err error)
}

// showCalendar answers a calendar program, which asks several times a day: what
// it has already isn't sent again.
func (p *Pages) showCalendar(w http.ResponseWriter, r *http.Request) {
	c, ok := p.claim(w, r, opensCalendar)
	if !ok {
		return
	}
	if p.Calendars == nil {
		p.refuse(w, r, http.StatusNotFound, words.RefusedUnknown, words.RefusedUnknownDo)
		return
	}
	ics, found, err := p.Calendars.Calendar(r.Context(), c)
	switch {
	case err != nil:
		p.failed(w, r, "reading a calendar", err)
		return
	case !found:
		p.refuse(w, r, http.StatusNotFound, words.RefusedUnknown, words.RefusedUnknownDo)
		return
	}
	sum := sha256.Sum256(ics)
	tag := `"` + hex.EncodeToString(sum[:12]) + `"`
	w.Header().Set("ETag", tag)
	w.Header().Set("Cache-Control", "private, no-cache") // kept, but asked about before it is used
	if known(r.Header.Values("If-None-Match"), tag) {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	w.Header().Set("Content-Type", "text/calendar; charset=utf-8")
	w.Header().Set("Content-Disposition", `inline; filename="budcall.ics"`)
	w.Header().Set("Content-Length", strconv.Itoa(len(ics)))
	if r.Method == http.MethodHead {
		return
	}
	if _, err := w.Write(ics); err != nil {
		p.Logger.DebugContext(r.Context(), "a calendar was not read to its end", "error", err)
	}
}

// known tells whether a tag is among those of If-None-Match, compared weakly
// (RFC 9110 section 13.1.2): a proxy that packs the bytes marks the tag as weak.
func known(fields []string, tag string) bool {
	for _, field := range fields {
		for one := range strings.SplitSeq(field, ",") {
			if one = strings.TrimSpace(one); one == "*" || strings.TrimPrefix(one, "W/") == tag {
				return true
			}
		}
	}
	return false
}
