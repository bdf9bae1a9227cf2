package tell

import (
	"fmt"
	"time"

	"budcall/internal/notice"
)

// replyLifetime is how long it is worth telling somebody what became of a mail.
const replyLifetime = 5 * 24 * time.Hour

// Reply gives the letter that tells a person what became of a mail that came
// in: a receipt, a question whether it is theirs, or, for the coordinator, the
// mail itself. The same mail gives the same letter under the same ID. thread
// is the ID of the letter of ours that was answered, empty where there is none.
func (d Directory) Reply(at time.Time, person string, r notice.Reply, thread string) (notice.Parcel, error) {
	p, ok := d.People[person]
	if !ok {
		return notice.Parcel{}, fmt.Errorf("nobody is known under the code %q: name an existing person in programme.yml", person)
	}
	l := d.begun(at, bundle{person: person, kind: r.Kind(), about: fmt.Sprint("arrived ", r.Arrived)}, p)
	l.Reply, l.Coordinator = &r, d.coordinatorFor(person)
	if thread != "" {
		l.Thread = []string{thread}
	}
	return parcel(l, person, at, replyLifetime)
}
