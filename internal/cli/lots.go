package cli

import (
	"context"
	"flag"
	"fmt"
	"strings"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/trail"
	"budcall/internal/words"
)

var lotsCommand = command{
	name:    "lots",
	purpose: "list the seed lots: where they are, of which bags, what is doubtful or overdue",
	text: "A lot is the seed of one tree, one kind (selfing or control) and one season. Packets reported picked are expected at the laboratory; " +
		"what it received and couldn't place is listed below the lots, with the codes that may be meant.",
	example: "budcall lots\nbudcall lots --season 2030 --overdue",
	define:  defineLots,
}

// ofSeason is the options of the commands that look at a season's trail.
type ofSeason struct {
	memory
	season  int
	machine bool
}

func (o *ofSeason) define(f *flag.FlagSet) {
	o.memory.define(f)
	f.IntVar(&o.season, "season", 0, "the `YEAR` in which the bags hung; without it, this year or the year in the code")
	f.BoolVar(&o.machine, "json", false, "for programs")
}

func (o *ofSeason) check() error {
	if o.season != 0 && (o.season < 2000 || o.season > 2099) {
		return misused("--season %d is no year from 2000 to 2099", o.season)
	}
	return nil
}

func defineLots(f *flag.FlagSet) action {
	var o ofSeason
	o.define(f)
	overdue := f.Bool("overdue", false, "only lots that should be at the laboratory and aren't, and seed that is unplaced")
	return func(ctx context.Context, _ []string, s Streams) error {
		if err := o.check(); err != nil {
			return err
		}
		return o.with(ctx, func(b *app.Beside) error {
			t, err := b.Trail(ctx, o.season)
			if err != nil {
				return err
			}
			lots, waiting := lotsAndWaiting(t, *overdue)
			if o.machine {
				return asJSON(s.Out, map[string]any{"season": t.Season, "lots": lots, "unplaced": waiting})
			}
			return table(s.Out, lotRows(t, lots, waiting))
		})
	}
}

// lotsAndWaiting gives the lots, and what waits to be placed.
func lotsAndWaiting(t app.Followed, overdue bool) (lots []*trail.Lot, waiting []*trail.UnplacedSeed) {
	lots, waiting = []*trail.Lot{}, []*trail.UnplacedSeed{}
	for _, l := range t.Lots {
		if !overdue || l.State == trail.Overdue {
			lots = append(lots, l)
		}
	}
	for _, u := range t.Unplaced {
		if u.Into == "" && u.Packets > 0 {
			waiting = append(waiting, u)
		}
	}
	return lots, waiting
}

func lotRows(t app.Followed, lots []*trail.Lot, waiting []*trail.UnplacedSeed) [][]string {
	c := words.For("en")
	if len(lots)+len(waiting) == 0 {
		return [][]string{{fmt.Sprintf("no lots to list in season %d", t.Season)}}
	}
	var rows [][]string
	if len(lots) > 0 {
		rows = append(rows, []string{"lot", "site", "tree", "kind", "state", "packets", "bags", "to look at"})
	}
	for _, l := range lots {
		tree := trail.WithCheck(l.Tree)
		if p := t.Tree(l.Tree); p != nil {
			tree = fmt.Sprintf("%s (%s)", p.Tree.Code, p.Tree.Short)
		}
		rows = append(rows, []string{l.Code, l.Site, tree, string(l.Kind), stateOf(c, l), packetsOf(l) + conditionOf(l), shortBags(l.Bags), strings.Join(lookAt(c, l, t.Today), "; ")})
	}
	for i, u := range waiting {
		if i == 0 && len(lots) > 0 {
			rows = append(rows, []string{})
		}
		rows = append(rows, []string{u.Code, "unplaced", fmt.Sprintf("written %q, %s, received %s", u.Written, counted(u.Packets, "packet"), c.Day(u.Received)) + maybe(u.Near)})
	}
	return rows
}

// stateOf says where a lot is, and since when.
func stateOf(c *words.Catalogue, l *trail.Lot) string {
	switch l.State {
	case trail.Underway:
		return "under way, expected by " + c.Day(l.Expected)
	case trail.Overdue:
		return "overdue since " + c.Day(l.Expected)
	case trail.Arrived:
		return "arrived " + c.Day(l.Received)
	case trail.Stored:
		return "stored: " + l.Results.Store
	}
	return string(l.State)
}

func packetsOf(l *trail.Lot) string {
	if l.State == trail.Arrived || l.State == trail.Stored {
		return fmt.Sprintf("%d picked, %d came", l.Packets, l.Came)
	}
	return fmt.Sprintf("%d picked", l.Packets)
}

// conditionOf is how a lot's packets came, after their number.
func conditionOf(l *trail.Lot) string {
	if len(l.Condition) == 0 {
		return ""
	}
	return " (" + oneLine(strings.Join(l.Condition, "; ")) + ")"
}

// shortBags names bags as S1 S2, without what they share with their lot.
func shortBags(codes []string) string {
	var short []string
	for _, code := range codes {
		if c, _, err := trail.ParseCode(code); err == nil {
			short = append(short, fmt.Sprintf("%s%d", strings.ToUpper(string(c.Kind[:1])), c.Bag))
		}
	}
	if len(short) == 0 {
		return "none known"
	}
	return strings.Join(short, " ")
}

// lookAt says what somebody must know or do about a lot.
func lookAt(c *words.Catalogue, l *trail.Lot, today civil.Date) (list []string) {
	byDoubt := map[trail.Doubt][]string{}
	var order []trail.LotDoubt
	for _, d := range l.Doubts {
		if byDoubt[d.Doubt] == nil {
			order = append(order, d)
		}
		byDoubt[d.Doubt] = append(byDoubt[d.Doubt], d.Bag)
	}
	for _, d := range order {
		list = append(list, fmt.Sprintf("%s doubtful since %s: %s", shortBags(byDoubt[d.Doubt]), c.Day(d.Since), d.Doubt))
	}
	if (l.State == trail.Arrived || l.State == trail.Stored) && l.Came < l.Packets {
		list = append(list, fmt.Sprintf("%s missing", counted(l.Packets-l.Came, "packet")))
	}
	if l.Came > l.Packets {
		list = append(list, fmt.Sprintf("%s more than reported picked", counted(l.Came-l.Packets, "packet")))
	}
	switch due := l.Results.Due(); {
	case due != 0 && due < today:
		list = append(list, "germination count overdue since "+c.Day(due))
	case due != 0:
		list = append(list, "germination count on "+c.Day(due))
	}
	return list
}

// maybe says which codes may be meant.
func maybe(near []trail.Near) string {
	var list []string
	for _, n := range near {
		list = append(list, fmt.Sprintf("%s (%s)", n.Code, n.Slip))
	}
	if len(list) == 0 {
		return "; no known code is near"
	}
	return "; near: " + strings.Join(list, ", ")
}
