package app

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"log/slog"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"

	"budcall/internal/config"
	"budcall/internal/link"
	"budcall/internal/postgres"
	"budcall/internal/web"
)

// desk is where changes of sites' files are proposed, looked at and decided on.
// The configuration folder stays the one truth: what is accepted is written
// there, and comes into force from there.
type desk struct {
	db      *postgres.DB
	conf    *inForce
	engine  *engine
	links   func() links
	springs Springs // nil: past springs aren't replayed
	log     *slog.Logger
	at      func(point string)
	mu      sync.Mutex    // one decision at a time
	playing chan struct{} // one replay of past springs at a time: it takes all cores
}

// The ways in which changes come.
const (
	byPage     = "page"
	bySiteMail = "mail"
)

// longestSite bounds a site's file that comes by a page or a mail, in bytes.
const longestSite = 256 << 10

// mayEdit tells whether a person may change a site's settings at all, and
// whether without bounds.
func mayEdit(p *config.Programme, site config.Site, person string) (may, all bool) {
	if person == "" {
		return false, false
	}
	all = person == p.Coordinator || person == p.CoordinatorDeputy
	return all || person == site.Lead || person == site.Deputy, all
}

// markOf tells versions of a file apart.
func markOf(body []byte) string {
	sum := sha256.Sum256(body)
	return hex.EncodeToString(sum[:16])
}

// siteFile is a site with its file as it is in force.
type siteFile struct {
	programme *config.Programme
	files     config.Files // all that are in force
	site      config.Site
	file      string // its path
	body      []byte
}

// find gives a site's file as it is in force; found is false where the site
// isn't known.
func (d *desk) find(code string) (f siteFile, found bool) {
	f.programme, f.files = d.conf.programme(), d.conf.filesInForce()
	if f.site, found = f.programme.Site(code); !found {
		return f, false
	}
	f.file, found = config.SiteFile(f.files, code)
	f.body = f.files[f.file]
	return f, found
}

// SiteSettings gives a site's file, and a proposed change of it, as a person
// sees them.
func (d *desk) SiteSettings(ctx context.Context, c link.Claim, change int64) (s web.SiteSettings, found bool, err error) {
	f, found := d.find(c.Site)
	who, known := d.conf.programme().Person(c.Person)
	if !found || !known || c.Opens != link.OpensSettings {
		return s, false, nil
	}
	may, all := mayEdit(f.programme, f.site, c.Person)
	s = web.SiteSettings{
		Lang: who.Lang, Person: who.Name, SiteName: f.site.Name, Stranger: !may, Text: string(f.body), Mark: markOf(f.body), All: all,
		Allowed: f.programme.Editing.Allowed(), Lines: f.programme.Editing.Lines, Approval: f.programme.Editing.Approval && !all,
	}
	if change == 0 || !may {
		return s, true, nil
	}
	ch, found, err := d.db.Change(ctx, change)
	if err != nil || !found || ch.Site != c.Site {
		return s, false, err
	}
	if s.Change, err = d.shown(f, ch, c.Person); err != nil {
		return s, false, err
	}
	return s, true, nil
}

// shown is a proposed change as a person sees it.
func (d *desk) shown(f siteFile, ch postgres.SiteChange, person string) (*web.SiteChange, error) {
	_, all := mayEdit(f.programme, f.site, person)
	out := &web.SiteChange{
		ID: ch.ID, By: nameOr(f.programme, ch.Person), At: ch.At.In(f.programme.Zone), Text: string(ch.Body), Mark: markOf(ch.Base),
		Difference: config.Difference(ch.Base, ch.Body), Standing: string(ch.Standing), Written: !ch.WrittenAt.IsZero(), Why: ch.Why,
		MayTake: person == ch.Person, MayDecide: all,
	}
	if !bytes.Equal(ch.Base, f.body) && ch.Standing != postgres.ChangeAccepted {
		out.Moved = config.Difference(ch.Base, f.body)
	}
	if err := json.Unmarshal(ch.Preview, &out.Preview); err != nil {
		return nil, fmt.Errorf("reading what the change %d would do: %w", ch.ID, err)
	}
	return out, nil
}

func nameOr(p *config.Programme, code string) string {
	if who, known := p.Person(code); known {
		return who.Name
	}
	return code
}

// ProposeSettings checks a changed file of a site that was edited on the page,
// works out what it would do, and keeps it as a proposal.
func (d *desk) ProposeSettings(ctx context.Context, c link.Claim, e web.Edit) (web.Proposal, error) {
	f, found := d.find(c.Site)
	if may, _ := mayEdit(f.programme, f.site, c.Person); !found || !may {
		return web.Proposal{}, fmt.Errorf("%s may not change the settings of %s: enter them as its lead or deputy", c.Person, c.Site)
	}
	if e.Mark != markOf(f.body) {
		base, err := d.version(ctx, f.file, e.Mark)
		if err != nil {
			return web.Proposal{}, err
		}
		out := web.Proposal{Stale: true}
		if base != nil {
			out.Moved = config.Difference(base, f.body)
		}
		return out, nil
	}
	id, problems, err := d.propose(ctx, f, proposed{person: c.Person, way: byPage, key: e.Key, body: tidied(e.Text, f.body)})
	return web.Proposal{ID: id, Problems: problems, Unchanged: err == nil && id == 0 && len(problems) == 0}, err
}

// version gives the version of a file that has a mark, of those that were ever
// accepted; nil where none has.
func (d *desk) version(ctx context.Context, file, mark string) (body []byte, err error) {
	err = d.db.Versions(ctx, func(files map[string][]byte) error {
		if old, there := files[file]; there && markOf(old) == mark {
			body = old
		}
		return nil
	})
	return body, err
}

// tidied gives a text as it came from a browser with the line ends of the file
// in whose place it comes.
func tidied(text string, before []byte) []byte {
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	if text = strings.TrimRight(text, "\n"); text != "" {
		text += "\n"
	}
	if bytes.Contains(before, []byte("\r\n")) {
		text = strings.ReplaceAll(text, "\n", "\r\n")
	}
	return []byte(text)
}

// proposed is a changed file of a site.
type proposed struct {
	person, way, key string
	body             []byte
	base             []byte // from which it began; nil: the one in force
}

// propose checks a changed file and keeps it. It gives no number where nothing
// is changed or something is wrong.
func (d *desk) propose(ctx context.Context, f siteFile, p proposed) (id int64, problems []config.Problem, err error) {
	if p.base == nil {
		p.base = f.body
	}
	if bytes.Equal(p.body, f.body) || len(config.Difference(f.body, p.body)) == 0 {
		return 0, nil, nil
	}
	after, changed, problems := d.check(f, p)
	if len(problems) > 0 {
		return 0, problems, nil
	}
	now, err := d.conf.now(ctx)
	if err != nil {
		return 0, nil, err
	}
	preview := d.preview(ctx, f, after, changed)
	_, all := mayEdit(f.programme, f.site, p.person)
	preview.Approval = f.programme.Editing.Approval && !all
	raw, err := json.Marshal(preview)
	if err != nil {
		return 0, nil, fmt.Errorf("keeping what the change of %s would do: %w", f.site.Code, err)
	}
	id, err = d.db.ProposeChange(ctx, postgres.SiteChange{
		Key: p.key, Site: f.site.Code, File: f.file, Base: p.base, Body: p.body, Person: p.person, Way: p.way, At: now, Preview: raw,
	})
	return id, nil, err
}

// check reads all files with a changed one in its place, and holds it to the
// bounds where the person is bound. Problems in the changed file have no file.
func (d *desk) check(f siteFile, p proposed) (after *config.Programme, changed []config.Changed, problems []config.Problem) {
	if len(p.body) > longestSite {
		return nil, nil, []config.Problem{{What: fmt.Sprintf("the file has %d bytes", len(p.body)), Cure: fmt.Sprintf("at most %d", longestSite)}}
	}
	files := maps.Clone(f.files)
	files[f.file] = p.body
	after, problems = config.Parse(files, time.LoadLocation)
	changed, refused := f.programme.Editing.Check(f.file, f.body, p.body)
	_, all := mayEdit(f.programme, f.site, p.person)
	for _, r := range refused {
		if !all || r.Path == "code" {
			problems = append(problems, r)
		}
	}
	if len(problems) == 0 && d.conf.fit != nil {
		if err := d.conf.fit(after); err != nil {
			problems = []config.Problem{{What: err.Error()}}
		}
	}
	for i := range problems {
		problems[i] = impersonal(problems[i])
		if problems[i].File == f.file {
			problems[i].File = ""
		}
	}
	slices.SortStableFunc(problems, func(a, b config.Problem) int {
		if c := strings.Compare(a.File, b.File); c != 0 {
			return c
		}
		return a.Line - b.Line
	})
	return after, changed, problems
}
