package app

import (
	"cmp"
	"context"
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"

	"budcall/internal/config"
	"budcall/internal/notice"
	"budcall/internal/report"
	"budcall/internal/words"
)

// siteAttached gives the sites whose files are attached to a mail, and the file
// where there is one: it is called after the site's code, KOLMI.yml.
func siteAttached(p *config.Programme, files []report.File) (sites []config.Site, file report.File) {
	for _, f := range files {
		name := path.Base(strings.ReplaceAll(f.Name, "\\", "/"))
		ending := path.Ext(name)
		s, named := find(p.Sites, func(s config.Site) bool { return strings.EqualFold(s.Code, strings.TrimSuffix(name, ending)) })
		if named && (strings.EqualFold(ending, ".yml") || strings.EqualFold(ending, ".yaml")) {
			sites, file = append(sites, s), f
		}
	}
	return sites, file
}

// settings answers a mail that brings a site's file, or asks for the page of its
// settings. What a file would change is kept as a proposal; a mail alone changes
// nothing. The answer goes to the address under which the sender is known, with
// a link. whole tells that the mail holds nothing else to be answered.
func (w *answer) settings(ctx context.Context) (whole bool, err error) {
	person := cmp.Or(w.reading.Person, w.reading.As)
	if person == "" || w.app.desk == nil {
		return false, nil
	}
	sites, file := siteAttached(w.programme, w.reading.Files)
	brings := len(sites) > 0
	if !brings {
		site, asks := w.asksFor(person)
		if !asks {
			return false, nil
		}
		sites = append(sites, site)
	}
	whole = !brings || w.onlyFiles(len(sites))
	beside := brings && whole && len(w.reading.Unread)+len(w.reading.Asks) > 0
	if whole {
		w.in.Outcome = settingsCame
	}
	if beside { // what people write beside a file isn't for a program
		if err := w.toCoordinator(ctx, true); err != nil {
			return false, err
		}
	}
	n, err := w.book.Receipts(ctx, person, []string{string(notice.Receipt), string(notice.Tap), string(notice.Settings)}, w.now.Add(-24*time.Hour))
	if err != nil {
		return false, err
	}
	if n >= w.programme.Inbox.MaxAnswer {
		w.app.log.WarnContext(ctx, "a mail about a site's settings was read and nobody is told, since the day's letters are used up: look whether a program answers us", "mail", w.arrival.ID, "a day", w.programme.Inbox.MaxAnswer)
		return whole, nil
	}
	site := sites[0]
	said := mailedSaid{opens: true, SiteChange: notice.SiteChange{Arrived: w.arrival.ID, For: notice.Asked, Site: site.Code, SiteName: site.Name}}
	switch {
	case len(sites) > 1:
		said = w.several(person, sites)
	case brings:
		said, err = w.app.desk.attached(ctx, mailedFile{person: person, site: site.Code, key: mailKey(w.arrival.Key), body: file.Bytes, arrived: w.arrival.ID})
	}
	if err != nil {
		return false, err
	}
	said.SiteChange.Beside = beside && w.reading.Person != w.programme.Coordinator
	return whole, w.tellSettings(ctx, person, site, said)
}

// several refuses the files of more than one site, which nobody could decide on
// by one page.
func (w *answer) several(person string, sites []config.Site) mailedSaid {
	var names []string
	for _, s := range sites {
		names = append(names, s.Name)
	}
	who, _ := w.programme.Person(person)
	return mailedSaid{SiteChange: notice.SiteChange{
		Arrived: w.arrival.ID, For: notice.ToMend, Site: sites[0].Code, SiteName: strings.Join(names, ", "),
		Problems: []string{words.For(who.Lang).Text(words.SettingsMailSeveral)},
	}}
}

// tellSettings adds the letter that answers a mail about settings.
func (w *answer) tellSettings(ctx context.Context, person string, site config.Site, said mailedSaid) error {
	signed, err := w.app.links.of(ctx, w.book, person)
	if err != nil {
		return err
	}
	if said.opens {
		url, until := signed.settings(person, site.Code, settingsUntil(siteFile{site: site}, w.now))
		said.SiteChange.Link, said.SiteChange.Expires = url+said.query, until
	}
	letter, err := directory(w.programme, signed.key).Settings(w.now, person, said.SiteChange)
	if err == nil {
		w.in.Letters = append(w.in.Letters, letter)
	}
	return err
}

// asksFor gives the site for whose settings a mail asks: its one line is
// "settings KOLMI", or "settings" from somebody with one site alone.
func (w *answer) asksFor(person string) (site config.Site, asks bool) {
	r := w.reading
	if len(r.Unread) != 1 || len(r.Reports)+len(r.Photos)+len(r.Files)+len(r.Dropped) > 0 {
		return site, false
	}
	said := strings.Fields(r.Unread[0].Text)
	if len(said) == 0 || len(said) > 2 || !slices.ContainsFunc(words.Languages(), func(lang string) bool {
		return strings.EqualFold(words.For(lang).Text(words.SettingsAsk), said[0])
	}) {
		return site, false
	}
	n := 0
	for _, s := range w.programme.Sites {
		may, _ := mayEdit(w.programme, s, person)
		if may && (len(said) == 1 || strings.EqualFold(s.Code, said[1])) {
			site = s
			n++
		}
	}
	return site, n == 1
}

// settingsCame is the outcome of a mail that brought a site's file and nothing
// else.
const settingsCame = "settings"

// onlyFiles tells whether a mail holds nothing but so many files, and perhaps
// words that no program understands.
func (w *answer) onlyFiles(n int) bool {
	r := w.reading
	return len(r.Reports)+len(r.Photos)+len(r.Dropped) == 0 && len(r.Files) == n
}

// mailedFile is a site's file that came by mail.
type mailedFile struct {
	person, site, key string
	body              []byte
	arrived           int64
}

// mailedSaid is what is told of it.
type mailedSaid struct {
	notice.SiteChange
	opens bool   // it has a link
	query string // behind the link
}

// attached checks a file that came by mail, and keeps what it would change as a
// proposal.
func (d *desk) attached(ctx context.Context, m mailedFile) (out mailedSaid, err error) {
	f, found := d.find(m.site)
	if !found {
		return out, fmt.Errorf("the site %s isn't known any more", m.site)
	}
	who, _ := f.programme.Person(m.person)
	c := words.For(who.Lang)
	out.SiteChange = notice.SiteChange{Arrived: m.arrived, For: notice.ToMend, Site: f.site.Code, SiteName: f.site.Name}
	if may, _ := mayEdit(f.programme, f.site, m.person); !may {
		out.Problems = []string{c.Text(words.SettingsMailForeign)}
		return out, nil
	}
	out.opens = true
	p := proposed{person: m.person, way: bySiteMail, key: m.key, body: tidied(string(m.body), f.body)}
	older, err := d.beganFrom(ctx, f, p.body)
	if err != nil {
		return out, err
	}
	p.base = older
	id, problems, err := d.propose(ctx, f, p)
	switch {
	case err != nil:
		return out, err
	case len(problems) > 0:
		out.Problems = problemsSaid(c, problems)
	case id == 0:
		out.Problems = []string{c.Text(words.SettingsUnchanged)}
	case older != nil: // its page shows what was changed meanwhile, with the text kept
		out.query = "?edit=" + strconv.FormatInt(id, 10)
		out.Problems = append([]string{c.Text(words.SettingsStale) + ":"}, differenceSaid(config.Difference(older, f.body))...)
	default:
		ch, _, err := d.db.Change(ctx, id)
		if err != nil {
			return out, err
		}
		shown, err := d.shown(f, ch, m.person)
		if err != nil {
			return out, err
		}
		out.For, out.Change, out.Preview, out.query = notice.Received, id, &shown.Preview, "?change="+strconv.FormatInt(id, 10)
	}
	return out, nil
}

// beganFrom finds out whether a file that came by mail was made from an older
// version than the one in force: it differs from that one in fewer lines. nil:
// from the one in force.
func (d *desk) beganFrom(ctx context.Context, f siteFile, body []byte) (older []byte, err error) {
	fewest := len(config.Difference(f.body, body))
	err = d.db.Versions(ctx, func(files map[string][]byte) error {
		old, there := files[f.file]
		if !there {
			return nil
		}
		if n := len(config.Difference(old, body)); n < fewest {
			older, fewest = old, n
		}
		return nil
	})
	return older, err
}

// problemsSaid says what is wrong with a file, line by line.
func problemsSaid(c *words.Catalogue, problems []config.Problem) (lines []string) {
	for _, p := range problems {
		at := p
		at.File, at.Line, at.Path = "", 0, config.Setting(p.Path)
		said := strings.TrimPrefix(at.String(), ": ")
		if p.Line > 0 && p.File == "" {
			said = c.Text(words.SettingsAtLine, words.Args{"line": strconv.Itoa(p.Line), "said": said})
		} else if p.Line > 0 {
			said = c.Text(words.SettingsAtFile, words.Args{"file": path.Base(p.File), "line": strconv.Itoa(p.Line), "said": said})
		}
		lines = append(lines, said)
	}
	return lines
}

// differenceSaid lists a difference for a mail, its first lines.
func differenceSaid(lines []config.Line) (said []string) {
	const most = 40
	for i, l := range lines {
		if i == most {
			return append(said, "…")
		}
		mark := "+ "
		if l.Out {
			mark = "− "
		}
		said = append(said, mark+l.Text)
	}
	return said
}
