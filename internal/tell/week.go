package tell

import (
	"fmt"
	"time"

	"budcall/internal/notice"
)

// weekLifetime is how long an overview is worth sending: some days later the
// next one is better.
const weekLifetime = 3 * 24 * time.Hour

// Week gives the letter that tells a person how every site stands. The same
// occasion gives the same letter under the same ID.
func (d Directory) Week(o Occasion, person string, w notice.Overview) (notice.Parcel, error) {
	p, ok := d.People[person]
	if !ok {
		return notice.Parcel{}, fmt.Errorf("nobody is known under the code %q: name an existing person in programme.yml", person)
	}
	l := d.begun(o.At, bundle{person: person, kind: notice.Weekly}, p)
	l.Late, l.Week = o.Late, &w
	return parcel(l, person, o.At, weekLifetime)
}
