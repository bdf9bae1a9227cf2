package app

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/postgres"
	"budcall/internal/trail"
)

// Entering is one thing that somebody writes into the trail's book. Data holds
// what its kind needs; of a receipt, Written, Kind and Bags follow from Codes.
type Entering struct {
	Kind   trail.EntryKind
	Codes  []string      // as written: of a lot, bag, tree or unplaced seed; of a receipt, one or more
	Of     trail.BagKind // selfing or control, where the code is a tree's
	Season int           // of the seed, where the code doesn't say; 0: this year
	Person string
	Day    civil.Date // zero: today
	Why    string
	Data   trail.Data
}

// Entered is what became of it.
type Entered struct {
	Entry    trail.Entry  `json:"entry"`
	Stored   bool         `json:"stored"` // false: the same was stored before
	Subject  string       `json:"subject"`
	How      trail.How    `json:"how,omitempty"`      // how the code was recognised
	Unplaced string       `json:"unplaced,omitempty"` // why seed couldn't be placed
	Near     []trail.Near `json:"near,omitempty"`
	Unused   string       `json:"unused,omitempty"` // why the entry counts for nothing
}

// Enter checks and stores an entry. Seed that was received and can't be placed
// is stored all the same, and waits. Seed that is placed is reported received
// at its site as well, which ends the call that waits for it.
func (b *Beside) Enter(ctx context.Context, in Entering) (out Entered, err error) {
	if _, err := person(b.programme, in.Person); err != nil {
		return out, err
	}
	now, err := b.Now(ctx)
	if err != nil {
		return out, err
	}
	today := civil.At(now.In(b.programme.Zone))
	if in.Day == 0 {
		in.Day = today
	}
	if in.Day > today {
		return out, fmt.Errorf("%s is still to come, today is %s: give the day on which it was done", in.Day, today)
	}
	out.Entry = trail.Entry{Season: in.Season, Kind: in.Kind, Person: in.Person, Day: in.Day, At: now.UTC(), Why: in.Why, Way: "command", Data: in.Data}
	switch in.Kind {
	case trail.LabReceived:
		err = b.receipt(ctx, in, &out)
	case trail.LabWithdrawn:
		err = b.withdrawal(ctx, &out)
	default:
		err = b.subject(ctx, in, &out)
	}
	if err == nil {
		err = out.Entry.Check()
	}
	if err != nil {
		return out, err
	}
	out.Entry.ID, out.Stored, err = b.db.Enter(ctx, entryKey(out.Entry), out.Entry)
	if err != nil {
		return out, err
	}
	out.Subject = out.Entry.Subject
	if in.Kind == trail.LabReceived && out.Subject == "" {
		out.Subject = trail.Code{Number: out.Entry.ID}.String()
	}
	return out, b.after(ctx, &out)
}

// entryKey is the key of an entry: what it says, by whom and of which day, so
// that the same command twice is one entry.
func entryKey(e trail.Entry) string {
	data, _ := json.Marshal(e.Data) // numbers, texts and lists of them
	h := sha256.New()
	fmt.Fprintf(h, "%d %q %q %q %s %q %s", e.Season, e.Kind, e.Subject, e.Person, e.Day, e.Why, data)
	return "command-" + hex.EncodeToString(h.Sum(nil)[:16])
}

// receipt finds the lot that packets belong to, or why none can be found.
func (b *Beside) receipt(ctx context.Context, in Entering, out *Entered) error {
	r := *in.Data.Receipt
	r.Written, r.Kind, r.Bags = strings.Join(in.Codes, " "), in.Of, nil
	out.Entry.Receipt = &r
	lot := trail.Code{}
	for i, written := range in.Codes {
		f, c, how, err := b.Follow(ctx, written, in.Season)
		if unknown, ok := err.(*trail.Unknown); ok {
			out.Unplaced = unknown.Why
			out.Entry.Season = f.Season
			continue
		}
		if err != nil {
			return err
		}
		out.How, out.Entry.Season = how, f.Season
		if c.What() == trail.Unplaced {
			return fmt.Errorf("%s was received already and is unplaced: say where it belongs with `budcall lab place %s LOT`", c, c)
		}
		if c.Kind != "" && in.Of != "" && c.Kind != in.Of {
			return fmt.Errorf("%s is a code of %s, and --kind says %s: compare with the packet and give the right one", written, c.Kind, in.Of)
		}
		if c.Kind == "" {
			c.Kind, c.Season = in.Of, f.Season
		}
		if c.Bag > 0 {
			r.Bags = append(r.Bags, c.Bag)
		}
		whole := trail.Code{Tree: c.Tree, Season: c.Season, Kind: c.Kind}
		if i > 0 && lot != (trail.Code{}) && whole != lot {
			return fmt.Errorf("%s and %s are of different lots: enter what came of each by a command of its own", in.Codes[0], written)
		}
		lot = whole
		if out.Unplaced == "" {
			out.Unplaced = f.missing(c)
		}
	}
	slices.Sort(r.Bags)
	r.Kind = lot.Kind
	if r.Kind == "" {
		r.Kind = in.Of
	}
	if out.Unplaced != "" {
		r.Bags = nil
		return nil
	}
	out.Entry.Subject = lot.String()
	return nil
}

// missing says why seed with this code can't be placed; nothing where it can.
func (f Followed) missing(c trail.Code) string {
	t := f.Tree(c.Tree)
	switch {
	case c.Kind == "":
		return "it isn't said whether it is selfing or control seed"
	case t == nil:
		return "the tree isn't in the configuration"
	}
	hung := false
	for _, bag := range t.Bags {
		was := bag.Kind == c.Kind && bag.PutOn != 0
		if hung = hung || was; was && bag.Number == c.Bag {
			return ""
		}
	}
	switch {
	case c.Bag > 0:
		return fmt.Sprintf("no bag %s was reported on in %d", c, f.Season)
	case !hung && f.Lot(c.Tree, c.Kind) == nil:
		return fmt.Sprintf("no %s bag of %s was reported on in %d", c.Kind, t.Code, f.Season)
	}
	return ""
}

// subject finds what an entry is about.
func (b *Beside) subject(ctx context.Context, in Entering, out *Entered) error {
	f, c, how, err := b.Follow(ctx, in.Codes[0], in.Season)
	if err != nil {
		return err
	}
	out.How, out.Entry.Season = how, f.Season
	if c.What() == trail.ATree && in.Of != "" {
		c.Kind, c.Season = in.Of, f.Season
	}
	switch kind := in.Kind; {
	case kind == trail.LabAlias:
		if c.What() != trail.ATree {
			return fmt.Errorf("%s is a %s: a former code is of a tree", c, c.What())
		}
		if known, _, err := f.Directory.Find(in.Data.Alias); err == nil && known != c {
			return fmt.Errorf("%q is already a code of %s: a former code can stand for one tree only", in.Data.Alias, known)
		}
	case c.What() == trail.Unplaced:
		u := f.Waiting(c.String())
		if u == nil {
			return fmt.Errorf("nothing unplaced has the code %s: `budcall lots` lists what is", c)
		}
		if kind == trail.LabPlaced {
			return f.checkPlace(u, out)
		}
	case kind == trail.LabPlaced:
		return fmt.Errorf("%s isn't unplaced: only seed that waits under a code such as %s can be placed", c, trail.Code{Number: 14})
	case c.What() == trail.ATree && kind != trail.LabNoted:
		return fmt.Errorf("%s is a tree, and this is said of a lot: give the lot's code, or --kind selfing or --kind control", c)
	case c.What() != trail.ATree:
		c.Bag = 0 // what is said of a bag's seed is said of its lot
		if f.Lot(c.Tree, c.Kind) == nil {
			return fmt.Errorf("no lot %s is known in %d: nothing was reported picked or received; `budcall lots` lists the lots", c, f.Season)
		}
	}
	out.Entry.Subject = c.String()
	return f.checkTest(c, out.Entry)
}

// checkPlace refuses what can't be placed, before it is stored.
func (f Followed) checkPlace(u *trail.UnplacedSeed, out *Entered) error {
	c, _, err := f.Directory.Find(out.Entry.Into)
	switch {
	case err != nil:
		return err
	case u.Into != "":
		return fmt.Errorf("%s was placed into %s by %s: if that is wrong, withdraw that entry first", u.Code, u.Into, u.PlacedBy)
	case u.Packets == 0:
		return fmt.Errorf("the receipt of %s was withdrawn, so there is nothing to place", u.Code)
	case c.What() == trail.ABag:
		c.Bag = 0
	case c.What() != trail.ALot:
		return fmt.Errorf("%s is a %s: seed is placed into a lot, give its code, such as %s", c, c.What(), trail.Code{Tree: "K-001", Season: f.Season, Kind: trail.Selfing})
	}
	switch {
	case c.Season != f.Season:
		return fmt.Errorf("%s was received as of season %d, the lot %s is of %d: withdraw the receipt and enter it again with --season %d", u.Code, f.Season, c, c.Season, c.Season)
	case u.Kind != "" && u.Kind != c.Kind:
		return fmt.Errorf("the packet %s says %s, the lot %s is %s: the two are never put together; if the packet was misread, withdraw the receipt and enter it again", u.Code, u.Kind, c, c.Kind)
	}
	out.Entry.Subject, out.Entry.Into = u.Code, c.String()
	return nil
}

// withdrawal finds the entry that is withdrawn.
func (b *Beside) withdrawal(ctx context.Context, out *Entered) error {
	return b.db.Read(ctx, func(book *postgres.Book) error {
		e, found, err := book.Entry(ctx, out.Entry.Withdraws)
		if err == nil && !found {
			err = fmt.Errorf("there is no entry %d: `budcall trail CODE` shows the numbers", out.Entry.Withdraws)
		}
		out.Entry.Subject, out.Entry.Season = e.Subject, e.Season
		if e.Kind == trail.LabReceived && e.Subject == "" {
			out.Entry.Subject = trail.Code{Number: e.ID}.String()
		}
		return err
	})
}

// after reads what the entry has led to, and reports a lot as received where
// packets of this season came to it.
func (b *Beside) after(ctx context.Context, out *Entered) error {
	e := out.Entry
	f, err := b.Trail(ctx, e.Season)
	if err != nil {
		return err
	}
	out.Unused = f.unused(e.ID)
	if u := f.Waiting(out.Subject); u != nil && e.Kind == trail.LabReceived {
		out.Near = u.Near // as `lots` and the season report have it
	}
	into := e.Subject
	if e.Kind == trail.LabPlaced {
		into = e.Into
	}
	c, _, err := trail.ParseCode(into)
	counts := e.Kind == trail.LabReceived || e.Kind == trail.LabPlaced || e.Kind == trail.LabWithdrawn
	if err != nil || !counts || c.What() != trail.ALot || e.Season != f.Today.Year() {
		return nil
	}
	t := f.Tree(c.Tree)
	if l := f.Lot(c.Tree, c.Kind); t == nil || t.Tree.Gone || l == nil || e.Kind == trail.LabWithdrawn && l.Came > 0 {
		return nil // but a receipt taken back, after which nothing of the lot has come, is reported where the tree's other has
	}
	said := Said{Site: t.Site, Person: e.Person, Task: call.LotExpected, Kind: trail.LotReceived, Trees: []string{t.Tree.Short}, Day: e.Day}
	for _, k := range trail.BagKinds {
		if l := f.Lot(c.Tree, k); l != nil && k == trail.Selfing {
			said.Selfing = l.Came
		} else if l != nil {
			said.Control = l.Came
		}
	}
	if said.Selfing+said.Control == 0 {
		return nil // a report without numbers would say that all has come
	}
	if _, _, err := b.Report(ctx, said); err != nil {
		return fmt.Errorf("the entry is stored, but reporting the lot received at %s failed: %w (give the same command again)", t.Site, err)
	}
	return nil
}

// unused tells why an entry counts for nothing, though it is stored.
func (f Followed) unused(id int64) string {
	for _, list := range f.histories() {
		for _, l := range list {
			if l.Entry != nil && l.Entry.ID == id && l.Unused != "" {
				return l.Unused
			}
		}
	}
	return ""
}

func (f Followed) histories() (all [][]trail.Line) {
	all = append(all, f.Other)
	for _, t := range f.Trees {
		all = append(all, t.History)
	}
	for _, l := range f.Lots {
		all = append(all, l.History)
	}
	for _, u := range f.Trail.Unplaced {
		all = append(all, u.History)
	}
	return all
}
