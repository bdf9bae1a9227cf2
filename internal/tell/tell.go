// Package tell is the job that turns what is owed into letters: the due calls
// of one person and day in one mail.
package tell

import (
	"cmp"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base32"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
	"budcall/internal/words"
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
	Key         []byte // makes the IDs of letters impossible to guess; of the links
	ReplyTo     string // the address that reads answers; empty: none does
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

// Letters gives the letters for what is owed: one for each person with all of
// the person's calls, another with those that were passed on to them, and one
// for the ops person with every trouble. The same owed things at the same time
// give the same letters, under the same IDs, in whichever order they come.
// It is an error if no ops person is known and there is something to tell them.
func Letters(d Directory, o Occasion, owed []notice.Due) ([]notice.Envelope, error) {
	var out []notice.Envelope
	for _, g := range group(d, owed, o.Troubles) {
		e, err := d.letter(o, g)
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
	about    string // what else tells letters of one moment apart
}

// group puts together what one person is owed: passed-on calls apart from the
// person's own, and what nobody is left for to the ops person, with what else
// is wrong.
func group(d Directory, owed []notice.Due, troubles []string) []bundle {
	var out []bundle
	into := func(b bundle) *bundle {
		i := slices.IndexFunc(out, func(x bundle) bool { return x.person == b.person && x.kind == b.kind })
		if i < 0 {
			out = append(out, b)
			i = len(out) - 1
		}
		return &out[i]
	}
	for _, o := range slices.SortedFunc(slices.Values(owed), inOrder) {
		b := bundle{person: o.Person, kind: notice.Calls}
		if o.Passed {
			b.kind = notice.Passed
		}
		if _, known := d.People[o.Person]; known {
			g := into(b)
			g.owed = append(g.owed, o)
			continue
		}
		g := into(bundle{person: d.Ops, kind: notice.Ops})
		g.owed, g.troubles = append(g.owed, o), append(g.troubles, unreachable(o))
	}
	if len(troubles) > 0 {
		g := into(bundle{person: d.Ops, kind: notice.Ops})
		g.troubles = append(g.troubles, troubles...)
	}
	return out
}

func inOrder(a, b notice.Due) int {
	return cmp.Or(cmp.Compare(a.Person, b.Person), cmp.Compare(a.ID, b.ID))
}

// unreachable says whom a call doesn't reach, and what to do.
func unreachable(o notice.Due) string {
	what := words.For("en").TaskAt(o.Item.Task, cmp.Or(o.Item.SiteName, o.Item.Site))
	if o.Person == "" {
		return fmt.Sprintf("%s: nobody who could be asked has answered. Ring the coordinator and the site lead, and check who is named for the site.", what)
	}
	return fmt.Sprintf("%s: it is for %q, whom people.yml doesn't name any more. Tell them by phone, or whoever has the site now, and check who is named for the site.",
		what, o.Person)
}

func (d Directory) letter(o Occasion, b bundle) (notice.Envelope, error) {
	p, ok := d.People[b.person]
	if !ok {
		return notice.Envelope{}, fmt.Errorf("nobody is known under the code %q: name an existing person as ops in programme.yml", b.person)
	}
	l := d.begun(o.At, b, p)
	l.Late, l.Trouble, l.Ribbons, l.Coordinator = o.Late, b.troubles, d.Ribbons, d.coordinatorFor(b.person)
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
	packed, err := parcel(l, b.person, o.At, lifetime)
	return notice.Envelope{Owed: ids, Parcel: packed}, err
}

// begun is a letter with what every letter has, in the person's zone.
func (d Directory) begun(at time.Time, b bundle, to Person) notice.Letter {
	zone := to.Zone
	if zone == nil { // unknown
		zone = time.UTC
	}
	return notice.Letter{
		ID: d.identity(at, b), ReplyTo: d.ReplyTo, Kind: b.kind, Programme: d.Programme, Domain: d.Domain,
		From: d.From, FromName: d.FromName, To: to.Address, ToName: to.Name, Lang: to.Lang,
		At: at.In(zone), Today: civil.At(at.In(zone)),
	}
}

// coordinatorFor is the coordinator as somebody else is told of them.
func (d Directory) coordinatorFor(person string) notice.Contact {
	c, ok := d.People[d.Coordinator]
	if !ok || d.Coordinator == person {
		return notice.Contact{}
	}
	return notice.Contact{Name: c.Name, Phone: c.Phone, Role: "coordinator"}
}

// parcel packs a letter that is worth sending for so long.
func parcel(l notice.Letter, person string, at time.Time, worth time.Duration) (notice.Parcel, error) {
	content, err := json.Marshal(l)
	if err != nil {
		return notice.Parcel{}, fmt.Errorf("writing down letter %s: %w", l.ID, err)
	}
	return notice.Parcel{
		ID: l.ID, Channel: notice.ByMail, Target: person, Kind: string(l.Kind),
		Content: content, WrittenAt: at, ExpiresAt: at.Add(worth),
	}, nil
}

// urgency orders the items of a letter: what can't wait comes first.
func urgency(s call.Standing) int {
	return slices.Index([]call.Standing{call.Hurry, call.LookFirst, call.Go, call.TooLate, call.Ahead, call.NotNeeded, call.Done}, s)
}

// identity is a letter's ID: its time, so that IDs sort in the order of
// writing, and a keyed digest of what is in it; no name and no code. It is what
// an answer is known by, so nobody may guess it: 65 bits of HMAC-SHA256. The
// same letter has the same ID however often it is written.
func (d Directory) identity(at time.Time, b bundle) string {
	h := hmac.New(sha256.New, d.Key)
	stamp := at.UTC().Format("20060102T150405")
	fmt.Fprintln(h, "letter", stamp, b.person, b.kind)
	for _, o := range b.owed {
		fmt.Fprintln(h, o.ID)
	}
	for _, t := range b.troubles {
		fmt.Fprintln(h, t)
	}
	fmt.Fprintln(h, b.about)
	return stamp + "-" + strings.ToLower(base32.StdEncoding.EncodeToString(h.Sum(nil)))[:tokenLen]
}

// tokenLen is how many characters of base32, 5 bits each, end a letter's ID.
const tokenLen = 13
