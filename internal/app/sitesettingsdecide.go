package app

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"time"

	"budcall/internal/civil"
	"budcall/internal/link"
	"budcall/internal/notice"
	"budcall/internal/postgres"
	"budcall/internal/web"
	"budcall/internal/words"
)

// DecideSettings takes a proposed change, approves it or doesn't.
func (d *desk) DecideSettings(ctx context.Context, c link.Claim, say web.Decision) (web.Hindrance, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	f, found := d.find(c.Site)
	ch, kept, err := d.db.Change(ctx, say.Change)
	may, all := mayEdit(f.programme, f.site, c.Person)
	if err != nil {
		return web.Hindrance{}, err
	}
	if !found || !kept || ch.Site != c.Site || !may {
		return web.Hindrance{}, fmt.Errorf("there is no change %d of the settings of %s that %s could decide on", say.Change, c.Site, c.Person)
	}
	mine := ch.Person == c.Person
	open := ch.Standing == postgres.ChangeProposed && mine || ch.Standing == postgres.ChangeWaiting && all
	if !open {
		return web.Hindrance{Key: words.SettingsDecided}, nil
	}
	switch {
	case say.Do == web.DoRefuse:
		return d.settle(ctx, f, ch, postgres.ChangeDecision{To: postgres.ChangeRefused, By: c.Person, Why: clipped(say.Why)})
	case ch.Standing == postgres.ChangeProposed && f.programme.Editing.Approval && !all:
		if h := d.hindrance(f, ch); h.Key != "" {
			return h, nil
		}
		return d.settle(ctx, f, ch, postgres.ChangeDecision{To: postgres.ChangeWaiting, By: c.Person})
	}
	return d.accept(ctx, f, ch, c.Person)
}

// clipped bounds what somebody writes of a change.
func clipped(text string) string {
	if r := []rune(text); len(r) > 1000 {
		return string(r[:1000]) + "…"
	}
	return text
}

// hindrance tells why a change can't be accepted as everything stands now: the
// file in force is another one, or the other files no longer fit.
func (d *desk) hindrance(f siteFile, ch postgres.SiteChange) web.Hindrance {
	if !bytes.Equal(f.body, ch.Base) {
		return web.Hindrance{Key: words.SettingsStale}
	}
	if _, _, problems := d.check(f, proposed{person: ch.Person, body: ch.Body}); len(problems) > 0 {
		return web.Hindrance{Key: words.SettingsProblems, Problems: problems}
	}
	return web.Hindrance{}
}

// accept brings a change into force: it is accepted in the memory, then written
// into the folder, then read from there. A crash in between is made up for by
// the next look at the folder.
func (d *desk) accept(ctx context.Context, f siteFile, ch postgres.SiteChange, by string) (web.Hindrance, error) {
	switch h := d.hindrance(f, ch); {
	case h.Key == words.SettingsStale:
		if _, err := d.settle(ctx, f, ch, postgres.ChangeDecision{To: postgres.ChangeOvertaken, By: by}); err != nil {
			return h, err
		}
		return h, nil
	case h.Key != "":
		return h, nil
	}
	now, err := readSmall(within(d.conf.dir, f.file))
	if err != nil || !bytes.Equal(now, ch.Base) {
		return web.Hindrance{Key: words.SettingsByHand}, nil
	}
	if err := d.conf.mayWrite(d.conf.dir, f.file); err != nil {
		return web.Hindrance{Key: words.SettingsFolder, Said: err.Error()}, nil
	}
	if h, err := d.settle(ctx, f, ch, postgres.ChangeDecision{To: postgres.ChangeAccepted, By: by}); err != nil || h.Key != "" {
		return h, err
	}
	if d.at != nil {
		d.at("settings accepted")
	}
	err = d.conf.look(ctx)
	var held *heldBack
	if err != nil && !errors.As(err, &held) { // it is accepted: the next look makes up for it
		d.log.WarnContext(ctx, "an accepted change of a site isn't in force yet", "site", ch.Site, "change", ch.ID, "error", err)
		return web.Hindrance{}, nil
	}
	at, err := d.conf.now(ctx)
	if err != nil {
		return web.Hindrance{}, err
	}
	_, err = d.db.Begin(ctx, d.engine.occasion(runReport, "settings "+strconv.FormatInt(ch.ID, 10), at, []string{ch.Site}))
	return web.Hindrance{}, err
}

// settle lets a change go on, and tells who must know of it.
func (d *desk) settle(ctx context.Context, f siteFile, ch postgres.SiteChange, dec postgres.ChangeDecision) (web.Hindrance, error) {
	var err error
	if dec.At, err = d.conf.now(ctx); err != nil {
		return web.Hindrance{}, err
	}
	dec.ID = ch.ID
	to, occasion := ch.Person, map[postgres.ChangeStanding]notice.Occasion{
		postgres.ChangeWaiting: notice.ToApprove, postgres.ChangeAccepted: notice.InForce, postgres.ChangeRefused: notice.NotTaken, postgres.ChangeOvertaken: notice.Overtaken,
	}[dec.To]
	if dec.To == postgres.ChangeWaiting {
		to = f.programme.Coordinator
	}
	if _, known := f.programme.Person(to); known && to != dec.By {
		ch.Why = dec.Why
		l, err := d.letter(ctx, f, ch, occasion, to)
		if err != nil {
			return web.Hindrance{}, err
		}
		dec.Letters = append(dec.Letters, l)
	}
	done, err := d.db.DecideChange(ctx, dec)
	if err == nil && !done {
		return web.Hindrance{Key: words.SettingsDecided}, nil
	}
	return web.Hindrance{}, err
}

// letter tells a person of a change, with a link to its page.
func (d *desk) letter(ctx context.Context, f siteFile, ch postgres.SiteChange, occasion notice.Occasion, to string) (l notice.Parcel, err error) {
	now, err := d.conf.now(ctx)
	if err != nil {
		return l, err
	}
	signed, err := d.links().of(ctx, d.db, to)
	if err != nil {
		return l, err
	}
	said := notice.SiteChange{
		Change: ch.ID, For: occasion, Site: f.site.Code, SiteName: f.site.Name, By: nameOr(f.programme, ch.Person), Written: ch.Why,
	}
	if occasion == notice.ToApprove || occasion == notice.Received {
		said.Preview = &notice.Preview{}
		if err := json.Unmarshal(ch.Preview, said.Preview); err != nil {
			return l, fmt.Errorf("reading what the change %d would do: %w", ch.ID, err)
		}
	}
	said.Link, said.Expires = signed.settings(to, f.site.Code, settingsUntil(f, now))
	said.Link += "?change=" + strconv.FormatInt(ch.ID, 10)
	return directory(f.programme, signed.key).Settings(now, to, said)
}

// settingsUntil is how long a link to a site's settings works: until some time
// after its season's end.
func settingsUntil(f siteFile, now time.Time) civil.Date {
	today := civil.At(now.In(f.site.Zone))
	until := f.site.Settings.SeasonEnd.In(today.Year()) + linkDays
	if until < today+linkDays {
		until = f.site.Settings.SeasonEnd.In(today.Year()+1) + linkDays
	}
	return until
}

// settings gives the link to a site's settings and the last day on which it
// works.
func (l links) settings(person, site string, last civil.Date) (url string, expires civil.Date) {
	c := link.Settings(person, site, (last+1).In(time.UTC, 12, 0)) // the end of the day in every zone that we have sites in
	c.Turn = l.turns[person]
	return l.base() + "/settings/" + link.Sign(l.key, c), last
}

// overtaken tells whoever proposed a change that its file was changed by hand
// first; known is false where they aren't known any more.
func (d *desk) overtaken(ctx context.Context, ch postgres.SiteChange) (l notice.Parcel, known bool, err error) {
	f, found := d.find(ch.Site)
	if _, there := f.programme.Person(ch.Person); !found || !there {
		return l, false, nil
	}
	l, err = d.letter(ctx, f, ch, notice.Overtaken, ch.Person)
	return l, err == nil, err
}
