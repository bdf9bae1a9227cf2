package tell

import (
	"fmt"
	"time"

	"budcall/internal/notice"
)

// Settings gives the letter that tells a person of a change of a site's
// settings. The same change gives the same letter under the same ID, one for
// each occasion.
func (d Directory) Settings(at time.Time, person string, c notice.SiteChange) (notice.Parcel, error) {
	p, ok := d.People[person]
	if !ok {
		return notice.Parcel{}, fmt.Errorf("nobody is known under the code %q: name an existing person in programme.yml", person)
	}
	l := d.begun(at, bundle{person: person, kind: notice.Settings, about: fmt.Sprintf("settings %s %d %d", c.For, c.Change, c.Arrived)}, p)
	l.Change, l.Coordinator = &c, d.coordinatorFor(person)
	return parcel(l, person, at, notice.SettingsLifetime)
}
