package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"strconv"
	"strings"
	"time"

	"budcall/internal/config"
	"budcall/internal/link"
	"budcall/internal/notice"
	"budcall/internal/words"
)

// Settings is where settings of sites are looked at and changed.
type Settings interface {
	// SiteSettings gives the file of a claim's site, and the proposed change of a
	// number, where it isn't 0; found is false where one of them isn't known.
	SiteSettings(ctx context.Context, c link.Claim, change int64) (s SiteSettings, found bool, err error)
	// ProposeSettings checks a changed file and keeps it as a proposal. The same
	// one again is kept once.
	ProposeSettings(ctx context.Context, c link.Claim, e Edit) (Proposal, error)
	// DecideSettings takes a proposal, approves it or doesn't. What stands in the
	// way is told; the proposal is kept then.
	DecideSettings(ctx context.Context, c link.Claim, d Decision) (Hindrance, error)
}

// SiteSettings is a site's file as a person sees it.
type SiteSettings struct {
	Lang, Person, SiteName string
	Stranger               bool   // the person has nothing to do with the site, or not any more
	Text                   string // as it is in force
	Mark                   string // of Text; an edit says from which it began
	All                    bool   // the person may change everything
	Allowed                []config.Allowed
	Lines                  []string // that may be changed beside calls:
	Approval               bool     // what the person changes waits for the coordinator
	Change                 *SiteChange
}

// SiteChange is a proposed change.
type SiteChange struct {
	ID         int64
	By         string // name
	At         time.Time
	Text       string        // of the file as proposed
	Mark       string        // of the file from which it began
	Difference []config.Line // from there to the proposal
	Moved      []config.Line // from there to the file in force, where that is another by now
	Preview    notice.Preview
	Standing   string // proposed, waiting, accepted, refused, overtaken
	Written    bool   // of an accepted one: it stands in the folder
	Why        string // what whoever refused it wrote
	MayTake    bool   // the person may take it
	MayDecide  bool   // the person may approve it
}

// Edit is a changed file.
type Edit struct {
	Key  string // the same for the same edit
	Mark string // of the file from which it began
	Text string
}

// Proposal is what became of an edit. Without a number it isn't kept.
type Proposal struct {
	ID        int64
	Problems  []config.Problem
	Stale     bool          // the file was changed since the edit began
	Moved     []config.Line // what was changed then, if it is known
	Unchanged bool
}

// What can be decided on a proposal.
const (
	DoTake    = "take"
	DoApprove = "approve"
	DoRefuse  = "refuse"
)

// Decision is what somebody says of a proposal.
type Decision struct {
	Change int64
	Do     string // DoTake, DoApprove or DoRefuse
	Why    string // of DoRefuse
}

// Hindrance is why a proposal could not be decided on; the zero value is none.
type Hindrance struct {
	Key      words.Key
	Said     string           // for {said} of it
	Problems []config.Problem // of the file, found only now
}

// The fields of the page.
const (
	fieldDo     = "do"
	fieldChange = "change"
	fieldEdit   = "edit"
	fieldMark   = "mark"
	fieldText   = "text"
	fieldWhy    = "why"
	doSee       = "see"
)

// maxSettings bounds what the page takes, in bytes as they are sent; a file of
// several hundred trees has a tenth of it.
const maxSettings = 384 << 10

// settings gives what a link to settings opens; where it can't, the page that
// says why is written and ok is false.
func (p *Pages) settings(w http.ResponseWriter, r *http.Request, change int64) (c link.Claim, s SiteSettings, ok bool) {
	c, ok = p.claim(w, r, link.OpensSettings)
	if !ok {
		return c, s, false
	}
	if p.Settings == nil {
		p.refuse(w, r, http.StatusNotFound, words.RefusedUnknown, words.RefusedUnknownDo)
		return c, s, false
	}
	s, found, err := p.Settings.SiteSettings(r.Context(), c, change)
	switch {
	case err != nil:
		p.failed(w, r, "reading settings", err)
	case !found:
		p.refuse(w, r, http.StatusNotFound, words.RefusedUnknown, words.RefusedUnknownDo)
	case s.Stranger:
		p.refuse(w, r, http.StatusForbidden, words.SettingsStranger, words.SettingsStrangerDo)
	default:
		return c, s, true
	}
	return c, s, false
}

// showSettings shows the file, or a proposal, and changes nothing.
func (p *Pages) showSettings(w http.ResponseWriter, r *http.Request) {
	change, edited := number(r.URL.Query().Get(fieldChange)), number(r.URL.Query().Get(fieldEdit))
	c, s, ok := p.settings(w, r, max(change, edited))
	if !ok {
		return
	}
	v := settingsBuilder{c: words.For(s.Lang), s: s, claim: c, key: p.key()}
	switch {
	case edited > 0 && s.Change != nil:
		v.edit(Edit{Mark: s.Change.Mark, Text: s.Change.Text}, Proposal{Stale: len(s.Change.Moved) > 0, Moved: s.Change.Moved})
	case s.Change != nil:
		v.proposed(Hindrance{})
	default:
		v.edit(Edit{Mark: s.Mark, Text: s.Text}, Proposal{})
	}
	p.show(w, r, http.StatusOK, "settings.html", v.page())
}

// number reads the number of a proposal; 0 is none.
func number(text string) int64 {
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 0 {
		return 0
	}
	return n
}

// takeSettings keeps a changed file as a proposal, or decides on one.
func (p *Pages) takeSettings(w http.ResponseWriter, r *http.Request) {
	// Who may do so is asked before anything is read, and once the proposal is
	// known what it says.
	if _, _, ok := p.settings(w, r, 0); !ok || !p.parseUpTo(w, r, maxSettings) {
		return
	}
	if r.PostForm.Get(fieldDo) == doSee || r.PostForm.Get(fieldDo) == "" {
		p.proposeSettings(w, r)
		return
	}
	d := Decision{Change: number(r.PostForm.Get(fieldChange)), Do: r.PostForm.Get(fieldDo), Why: strings.TrimSpace(r.PostForm.Get(fieldWhy))}
	c, s, ok := p.settings(w, r, d.Change)
	if !ok {
		return
	}
	if s.Change == nil || d.Do != DoTake && d.Do != DoApprove && d.Do != DoRefuse {
		p.refuse(w, r, http.StatusBadRequest, words.RefusedEncoding, words.RefusedEncodingDo)
		return
	}
	h, err := p.Settings.DecideSettings(r.Context(), c, d)
	switch {
	case err != nil:
		p.failed(w, r, "deciding on settings", err)
		return
	case h.Key != "":
		if _, s, ok = p.settings(w, r, d.Change); !ok {
			return
		}
		v := settingsBuilder{c: words.For(s.Lang), s: s, claim: c, key: p.key()}
		v.proposed(h)
		p.show(w, r, http.StatusConflict, "settings.html", v.page())
		return
	}
	p.Logger.InfoContext(r.Context(), "settings were decided on", "site", c.Site, "change", d.Change, "what", d.Do)
	p.toChange(w, d.Change)
}

// toChange leads to a proposal's page.
func (p *Pages) toChange(w http.ResponseWriter, change int64) {
	// Relative, so that it holds behind a proxy that serves us under a folder.
	w.Header().Set("Location", "?change="+strconv.FormatInt(change, 10))
	w.WriteHeader(http.StatusSeeOther)
}

// proposeSettings keeps a changed file, and leads to what it does.
func (p *Pages) proposeSettings(w http.ResponseWriter, r *http.Request) {
	c, s, ok := p.settings(w, r, 0)
	if !ok {
		return
	}
	e := Edit{Mark: r.PostForm.Get(fieldMark), Text: r.PostForm.Get(fieldText)}
	e.Key = editKey(c, r.PostForm.Get(fieldKey), e)
	made, err := p.Settings.ProposeSettings(r.Context(), c, e)
	if err != nil {
		p.failed(w, r, "checking settings", err)
		return
	}
	if made.ID > 0 {
		p.Logger.InfoContext(r.Context(), "settings were proposed", "site", c.Site, "change", made.ID)
		p.toChange(w, made.ID)
		return
	}
	status := http.StatusUnprocessableEntity
	if made.Stale {
		status = http.StatusConflict
	}
	v := settingsBuilder{c: words.For(s.Lang), s: s, claim: c, key: p.key()}
	v.edit(e, made)
	p.show(w, r, status, "settings.html", v.page())
}

// editKey gives the key under which an edit is kept: of the page as it was shown
// and of what it says, so that the same one sent twice is kept once.
func editKey(c link.Claim, shown string, e Edit) string {
	h := sha256.New()
	for _, part := range []string{c.Person, c.Site, shown, e.Mark, e.Text} {
		h.Write([]byte(strconv.Itoa(len(part)) + " " + part))
	}
	return "page-" + hex.EncodeToString(h.Sum(nil)[:16])
}
