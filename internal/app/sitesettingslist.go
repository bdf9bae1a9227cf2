package app

import (
	"bytes"
	"context"
	"fmt"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/postgres"
)

// SettingsVersion is a version of a site's file that came into force.
type SettingsVersion struct {
	At         time.Time // in the program's time
	Author     string    // code of a person, or "folder" where it was changed there by hand
	Way        string    // page, mail or folder
	File       string
	Gone       bool          // the site was taken out then
	Difference []config.Line // from the version before; of the first, all its lines
}

// OpenChange is a proposed change of a site's file that isn't in force.
type OpenChange struct {
	ID         int64
	At         time.Time
	Author     string
	Way        string
	Standing   string // proposed, waiting, refused, overtaken; accepted: it is still to be written
	DecidedBy  string
	DecidedAt  time.Time // zero: not decided
	Why        string
	Difference []config.Line
}

// SettingsVersions lists the versions of a site's file that came into force, the
// oldest first, and the changes that didn't, the newest first. A site that the
// configuration no longer has is found by its code all the same.
func (b *Beside) SettingsVersions(ctx context.Context, site string) (list []SettingsVersion, open []OpenChange, err error) {
	changes, err := b.db.Changes(ctx, site)
	if err != nil {
		return nil, nil, err
	}
	var before []byte
	var file string
	err = b.db.AcceptedVersions(ctx, func(v postgres.AcceptedVersion) error {
		name, there := config.SiteFile(v.Files, site)
		now := v.Files[name]
		if (there || file != "") && !bytes.Equal(now, before) {
			row := SettingsVersion{At: v.At, Author: byFolder, Way: byFolder, File: name, Gone: !there, Difference: config.Difference(before, now)}
			row.name(changes, now)
			if !there {
				row.File = file
			}
			list = append(list, row)
		}
		before, file = now, name
		return nil
	})
	if err != nil {
		return nil, nil, err
	}
	for _, ch := range changes {
		if ch.Standing == postgres.ChangeAccepted && !ch.WrittenAt.IsZero() {
			continue
		}
		open = append(open, OpenChange{
			ID: ch.ID, At: ch.At, Author: ch.Person, Way: ch.Way, Standing: string(ch.Standing), DecidedBy: ch.DecidedBy, DecidedAt: ch.DecidedAt, Why: ch.Why,
			Difference: config.Difference(ch.Base, ch.Body),
		})
	}
	if _, err := b.site(site); err != nil && len(list) == 0 && len(open) == 0 {
		return nil, nil, err
	}
	return list, open, nil
}

// name puts in who proposed a version, if it came by a change that was accepted
// before it came into force.
func (v *SettingsVersion) name(changes []postgres.SiteChange, body []byte) {
	for _, ch := range changes { // the newest first
		if ch.Standing == postgres.ChangeAccepted && bytes.Equal(ch.Body, body) && !ch.DecidedAt.After(v.At) {
			v.Author, v.Way = ch.Person, ch.Way
			return
		}
	}
}

// SettingsLink gives a signed link with which a person changes a site's
// settings, and the last day on which it works: two weeks after the season's
// end. The key that signs it is in the state folder.
func (b *Beside) SettingsLink(ctx context.Context, state, person, site string) (url string, until civil.Date, err error) {
	s, err := b.site(site)
	if err != nil {
		return "", 0, err
	}
	if err := b.knownPerson(person); err != nil {
		return "", 0, err
	}
	if may, _ := mayEdit(b.programme, s, person); !may {
		return "", 0, fmt.Errorf("%s has nothing to do with %s: name its lead %s, its deputy or a coordinator, or enter %s as its deputy", person, site, s.Lead, person)
	}
	key, err := linkKey(state)
	if err != nil {
		return "", 0, err
	}
	now, err := b.Now(ctx)
	if err != nil {
		return "", 0, err
	}
	l, err := links{key: key, base: func() string { return b.programme.PublicURL }}.of(ctx, b.db, person)
	if err != nil {
		return "", 0, err
	}
	url, until = l.settings(person, site, settingsUntil(siteFile{programme: b.programme, site: s}, now))
	return url, until, nil
}
