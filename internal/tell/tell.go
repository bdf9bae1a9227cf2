// Package tell is the job that turns what is owed into letters: the due calls
// of one person and day in one mail.
package tell

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
)

// Directory is who can be written to, and as whom.
type Directory struct {
	Programme   string
	Domain      string // of Message-ID
	From        string
	FromName    string
	Ops         string // code of the ops person
	Coordinator string // code
	Ribbons     notice.Ribbons
	People      map[string]Person
}

// Person is somebody who can be written to.
type Person struct {
	Name    string
	Address string
	Phone   string
	Lang    string
	Zone    *time.Location
}

// Occasion is when and why letters are written.
type Occasion struct {
	At       time.Time // the program's time
	Late     bool      // later than meant: the program had been down
	Troubles []string  // what the ops person must be told
}

// lifetime is how long a letter is worth sending; passing on never waits for it.
const lifetime = 24 * time.Hour

// Letters gives the letters for what is owed. The same owed things at the
// same time give the same letters, under the same IDs.
func Letters(d Directory, o Occasion, owed []notice.Due) ([]notice.Envelope, error) {
	var out []notice.Envelope
	groups := group(d, owed)
	for _, g := range groups {
		e, err := d.letter(o, g)
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	if len(o.Troubles) > 0 {
		e, err := d.letter(o, bundle{person: d.Ops, kind: notice.Ops, troubles: o.Troubles})
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, nil
}

// bundle is what goes into one letter.
type bundle struct {
	person   string
	kind     notice.Kind
	owed     []notice.Due
	troubles []string
}

// group puts together what one person is owed: passed-on calls apart from the
// person's own, and what nobody is left for to the ops person.
func group(d Directory, owed []notice.Due) []bundle {
	var out []bundle
	for _, o := range owed {
		b := bundle{person: o.Person, kind: notice.Calls}
		if o.Passed {
			b.kind = notice.Passed
		}
		if _, known := d.People[o.Person]; !known {
			b = bundle{person: d.Ops, kind: notice.Ops, troubles: []string{nobody(o)}}
		}
		i := slices.IndexFunc(out, func(x bundle) bool { return x.person == b.person && x.kind == b.kind })
		if i < 0 {
			out = append(out, b)
			i = len(out) - 1
		} else {
			out[i].troubles = append(out[i].troubles, b.troubles...)
		}
		out[i].owed = append(out[i].owed, o)
	}
	return out
}

func nobody(o notice.Due) string {
	return fmt.Sprintf("%s at %s: nobody who could be asked has answered (%s). Ring the coordinator and the site lead, and check who is named for the site.",
		o.Item.Task, o.Item.Site, o.Item.Reason)
}

func (d Directory) letter(o Occasion, b bundle) (notice.Envelope, error) {
	p, ok := d.People[b.person]
	if !ok {
		return notice.Envelope{}, fmt.Errorf("nobody is known under the code %q: name an existing person as ops in programme.yml", b.person)
	}
	at := o.At.In(p.Zone)
	l := notice.Letter{
		ID: identity(o.At, b), Kind: b.kind, Programme: d.Programme, Domain: d.Domain,
		From: d.From, FromName: d.FromName, To: p.Address, ToName: p.Name, Lang: p.Lang,
		At: at, Today: civil.At(at), Late: o.Late, Trouble: b.troubles, Ribbons: d.Ribbons,
	}
	if c, ok := d.People[d.Coordinator]; ok && d.Coordinator != b.person {
		l.Coordinator = notice.Contact{Name: c.Name, Phone: c.Phone, Role: "coordinator"}
	}
	ids := make([]int64, 0, len(b.owed))
	for _, due := range b.owed {
		ids = append(ids, due.ID)
		if b.kind == notice.Ops {
			continue
		}
		l.Items = append(l.Items, due.Item)
		for _, id := range due.Thread {
			if !slices.Contains(l.Thread, id) {
				l.Thread = append(l.Thread, id)
			}
		}
	}
	slices.Sort(l.Thread)
	slices.SortStableFunc(l.Items, func(a, b notice.Item) int { return urgency(a.Standing) - urgency(b.Standing) })
	content, err := json.Marshal(l)
	if err != nil {
		return notice.Envelope{}, fmt.Errorf("writing down letter %s: %w", l.ID, err)
	}
	return notice.Envelope{Owed: ids, Parcel: notice.Parcel{
		ID: l.ID, Channel: notice.ByMail, Target: b.person, Kind: string(b.kind),
		Content: content, WrittenAt: o.At, ExpiresAt: o.At.Add(lifetime),
	}}, nil
}

// urgency orders the items of a letter: what can't wait comes first.
func urgency(s call.Standing) int {
	return slices.Index([]call.Standing{call.Hurry, call.LookFirst, call.Go, call.TooLate, call.Ahead, call.NotNeeded, call.Done}, s)
}

// identity is a letter's ID: its time, so that IDs sort in the order of
// writing, and a digest of what is in it; no name and no code.
func identity(at time.Time, b bundle) string {
	h := sha256.New()
	fmt.Fprintln(h, b.person, b.kind)
	for _, o := range b.owed {
		fmt.Fprintln(h, o.ID)
	}
	for _, t := range b.troubles {
		fmt.Fprintln(h, t)
	}
	return at.UTC().Format("20060102T150405") + "-" + hex.EncodeToString(h.Sum(nil)[:8])
}
