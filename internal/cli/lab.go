package cli

import (
	"context"
	"flag"
	"fmt"
	"slices"
	"strings"

	"budcall/internal/app"
	"budcall/internal/trail"
	"budcall/internal/words"
)

var labCommand = command{
	name: "lab", operands: "WHAT CODE", least: 1, most: 13,
	purpose: "enter what the laboratory received, weighed, counted and stored",
	text: "CODE is that of a lot, or of a bag or tree (a tree's with --kind). WHAT is one of\n" +
		"  received CODE ...     packets came, with the codes as written on them; what matches no bag waits as unplaced\n" +
		"  place CODE LOT        what waits under CODE belongs to LOT; say --why\n" +
		"  mass CODE             --before-g, --after-g: the lot before and after drying\n" +
		"  moisture CODE         --sample CONTAINER/BEFORE/AFTER in grams, the container first alone, then with seed\n" +
		"  seed-weight CODE      --seeds 100 --grams 0.021,0.022,...: the mass of each replicate\n" +
		"  filled CODE           --filled 12 --tested 400 --catkins 20: cut or X-rayed; --another for a second sample, which adds up\n" +
		"  sow CODE              --seeds 100,100,100,100 --count-days 7,21: a germination test is begun; --another for a second\n" +
		"  count CODE            --germinated 40,42,39,41: all that have germinated so far\n" +
		"  store CODE PLACE      where it lies\n" +
		"  note CODE             --why says what\n" +
		"  also-called CODE OLD  the tree CODE is OLD in former lists\n" +
		"  withdraw ENTRY        the entry of that number was a mistake; say --why\n" +
		"Every entry is kept, with who and when. The same command twice stores once; two packets or samples that are alike are told apart by --why. A second sample of filled seed, or a second sowing, of a lot isn't stored without --another: to correct one, withdraw it first.",
	example: "budcall lab received K-001-31S-5 --packets 2 --condition \"dry, open\" --person lab\n" +
		"budcall lab filled K-001-31S-5 --filled 12 --tested 400 --catkins 20 --person lab",
	define: defineLab,
}

// labFlags is what lab was told, as it was typed.
type labFlags struct {
	ofSeason
	person, day, why, kind, condition  string
	samples, seeds, grams, days, germs string
	beforeG, afterG                    float64
	packets, filled, tested, catkins   int
	another                            bool
	given                              map[string]bool
}

func defineLab(f *flag.FlagSet) action {
	l := &labFlags{}
	l.define(f)
	f.StringVar(&l.person, "person", "", "`CODE` of the person who did it")
	f.StringVar(&l.day, "day", "", "the `DAY` it was done, YYYY-MM-DD; without it, today")
	f.StringVar(&l.why, "why", "", "the `REASON`, or what else there is to say")
	f.StringVar(&l.kind, "kind", "", "selfing or control (`KIND`), where CODE is a tree's")
	f.IntVar(&l.packets, "packets", 0, "received: `N` packets; without it, as many as there are codes")
	f.StringVar(&l.condition, "condition", "", "received: the `STATE` they came in: dry, damp, mouldy, open, insects")
	f.Float64Var(&l.beforeG, "before-g", 0, "mass: `GRAMS` before drying")
	f.Float64Var(&l.afterG, "after-g", 0, "mass: `GRAMS` after drying")
	f.StringVar(&l.samples, "sample", "", "moisture: `MASSES` in grams, 10.02/15.11/14.70; several with commas between")
	f.StringVar(&l.seeds, "seeds", "", "seed-weight: seeds in each replicate; sow: the seeds of each (`N`,N,...)")
	f.StringVar(&l.grams, "grams", "", "seed-weight: `GRAMS` of each replicate, with commas between")
	f.IntVar(&l.filled, "filled", 0, "filled: `N` seeds that were filled")
	f.IntVar(&l.tested, "tested", 0, "filled: of `N` seeds that were tested, all that there were in the catkins")
	f.IntVar(&l.catkins, "catkins", 0, "filled: they came from `N` catkins; without it the isolation check can't use them")
	f.BoolVar(&l.another, "another", false, "filled, sow: another sample beside what is known of the lot")
	f.StringVar(&l.days, "count-days", "", "sow: count after so many `DAYS`, with commas between; without it 7 and 21")
	f.StringVar(&l.germs, "germinated", "", "count: seeds germinated so far in each replicate (`N`,N,...)")
	return func(ctx context.Context, operands []string, s Streams) error {
		l.given = map[string]bool{}
		f.Visit(func(f *flag.Flag) { l.given[f.Name] = true })
		in, err := l.entering(operands)
		if err != nil {
			return err
		}
		return l.with(ctx, func(b *app.Beside) error {
			out, err := b.Enter(ctx, in)
			if err != nil {
				return err
			}
			if l.machine {
				return asJSON(s.Out, out)
			}
			return l.say(ctx, s, b, out)
		})
	}
}

// say says what was stored and what follows from it.
func (l *labFlags) say(ctx context.Context, s Streams, b *app.Beside, out app.Entered) error {
	w := words.For("en")
	head := "stored as entry %d: %s, %s, %s, by %s\n"
	if !out.Stored {
		head = "known already as entry %d, nothing was stored: %s, %s, %s, by %s\n"
	}
	text := fmt.Sprintf(head, out.Entry.ID, out.Subject, entered(&out.Entry), w.DayYear(out.Entry.Day), b.Name(out.Entry.Person))
	switch {
	case out.Unused != "":
		text += "it doesn't count: " + out.Unused + "\n"
	case out.Unplaced != "":
		text += fmt.Sprintf("unplaced: %s%s\nmark the packet %s; when it is known where it belongs: budcall lab place %s LOT --why REASON --person CODE\n",
			out.Unplaced, maybe(out.Near), out.Subject, out.Subject)
	case out.How == trail.WithoutCheck:
		text += "the code has no check character, so a slip of the pen would go unnoticed: compare with the label\n"
	}
	if _, err := fmt.Fprint(s.Out, text); err != nil {
		return fmt.Errorf("writing what was stored: %w", err)
	}
	if out.Entry.Kind != trail.LabSown && out.Entry.Kind != trail.LabCounted {
		return nil
	}
	t, c, _, err := b.Follow(ctx, out.Subject, out.Entry.Season)
	if err != nil {
		return err
	}
	if lot := t.Lot(c.Tree, c.Kind); lot != nil && lot.Results.Due() != 0 {
		_, err = fmt.Fprintf(s.Out, "next count on %s\n", w.DayYear(lot.Results.Due()))
	}
	return err
}

// labKind is one thing that lab can enter: how it is typed, and which options
// and operands belong to it.
type labKind struct {
	name     string
	kind     trail.EntryKind
	operands string // after WHAT, as a message says it
	least    int
	most     int
	options  []string // beside those of all
	needs    []string
}

var labKinds = []labKind{
	{"received", trail.LabReceived, "the codes on the packets", 1, 12, []string{"packets", "condition", "kind", "season"}, nil},
	{"place", trail.LabPlaced, "the code under which it waits, and the lot", 2, 2, nil, []string{"why"}},
	{"mass", trail.LabWeighed, "the lot's code", 1, 1, []string{"before-g", "after-g", "kind", "season"}, nil},
	{"moisture", trail.LabMoisture, "the lot's code", 1, 1, []string{"sample", "kind", "season"}, []string{"sample"}},
	{"seed-weight", trail.LabSeedWeight, "the lot's code", 1, 1, []string{"seeds", "grams", "kind", "season"}, []string{"seeds", "grams"}},
	{"filled", trail.LabFilled, "the lot's code", 1, 1, []string{"filled", "tested", "catkins", "another", "kind", "season"}, []string{"filled", "tested"}},
	{"sow", trail.LabSown, "the lot's code", 1, 1, []string{"seeds", "count-days", "another", "kind", "season"}, []string{"seeds"}},
	{"count", trail.LabCounted, "the lot's code", 1, 1, []string{"germinated", "kind", "season"}, []string{"germinated"}},
	{"store", trail.LabStored, "the lot's code, and the place", 2, 2, []string{"kind", "season"}, nil},
	{"note", trail.LabNoted, "a code", 1, 1, []string{"kind", "season"}, []string{"why"}},
	{"also-called", trail.LabAlias, "the tree's code, and the former one", 2, 2, nil, nil},
	{"withdraw", trail.LabWithdrawn, "the entry's number", 1, 1, nil, []string{"why"}},
}

func findLabKind(what string) (labKind, error) {
	var all []string
	for _, k := range labKinds {
		if k.name == what {
			return k, nil
		}
		all = append(all, k.name)
	}
	return labKind{}, misused("%q is nothing to enter%s (there are %s)", what, meant(what, all), strings.Join(all, ", "))
}

// check refuses options and operands that don't belong to the kind, lest they
// are taken for stored.
func (k labKind) check(l *labFlags, operands []string) error {
	if len(operands) < k.least || len(operands) > k.most {
		return misused("lab %s takes %s", k.name, k.operands)
	}
	for _, name := range k.needs {
		if !l.given[name] {
			return misused("lab %s needs --%s", k.name, name)
		}
	}
	always := []string{"person", "day", "why", "json", "state", "database-file"}
	for name := range l.given {
		if !slices.Contains(always, name) && !slices.Contains(k.options, name) {
			return misused("--%s doesn't belong to lab %s", name, k.name)
		}
	}
	if l.person == "" {
		return misused("who did it? Give --person CODE")
	}
	return nil
}
