package cli

import (
	"context"
	"flag"
	"fmt"
	"strings"

	"budcall/internal/app"
	"budcall/internal/trail"
	"budcall/internal/words"
)

var reportCommand = command{
	name:    "report",
	purpose: "store what somebody has done, seen or answered",
	text: "It does the same as the form that the mails lead to. Give --site, --person and one thing to report:\n" +
		"  bags put on           --tree T1 --selfing 2 --control 1 (all bags on the tree)\n" +
		"  bags taken off        --off, of the trees named or of all\n" +
		"  packets picked        --picked --tree T1 --selfing 2 --control 1\n" +
		"  nothing to pick       --nothing, on the trees named or at all\n" +
		"  a stage, by BBCH code --seen 07, or --not-yet 07\n" +
		"  a look at the seed    --brown or --green\n" +
		"  the kit has arrived   --kit-arrived\n" +
		"  a short season noted  --understood\n" +
		"  catkins on a tree     --catkins --tree T1, with --count N where they were counted\n" +
		"  none this year        --no-catkins, on the trees named or at all\n" +
		"  a look at the bags    --fine, of the trees named or of all\n" +
		"  bags torn             --torn --tree T1, with --selfing and --control where known\n" +
		"  green tips on a tree  --seen 07 --tree T1: that tree alone is left\n" +
		"  seed received         --received, from the trees named or all\n" +
		"  a problem             --problem TEXT; the coordinator is asked to see to it\n" +
		"  an answer             --going DAY, --cant, --away DAY --until DAY, --unsafe or\n" +
		"                        --no-permission (these two go to the coordinator at once)\n" +
		"The same command twice stores once. A later report of the same tree corrects an earlier one.",
	example: "budcall report --site KOLMI --person tuuli --tree T1,T2 --selfing 2 --control 1\nbudcall report --site KOLMI --person tuuli --not-yet 07 --day 2031-05-02",
	define:  defineReport,
}

// reportFlags is what report was told, as it was typed.
type reportFlags struct {
	memory
	site, person, call, day, trees            string
	seen, notYet, going, away, until, problem string
	selfing, control, catkinCount             int
	catkins, noCatkins, fine, torn, received  bool
	unsafe, noPermission                      bool
	off, picked, nothing, brown, green        bool
	kitArrived, understood, cant, machineRead bool
}

func defineReport(f *flag.FlagSet) action {
	r := &reportFlags{selfing: -1, control: -1}
	r.memory.define(f)
	f.StringVar(&r.site, "site", "", "`CODE` of the site")
	f.StringVar(&r.person, "person", "", "`CODE` of the person who did or saw it")
	f.StringVar(&r.day, "day", "", "the `DAY` it was done or seen, YYYY-MM-DD; without it, today at the site")
	f.StringVar(&r.call, "call", "", "the `CALL` that is meant ("+strings.Join(taskNames(), ", ")+"); without it, the one that the report belongs to, or that is open")
	f.StringVar(&r.trees, "tree", "", "short `NAMES` of trees, with commas between: T1,T2")
	count(f, &r.selfing, "selfing", "`N` selfing bags on each tree; with --picked, packets")
	count(f, &r.control, "control", "`N` control bags on each tree; with --picked, packets")
	f.StringVar(&r.seen, "seen", "", "a stage was seen, by its BBCH `CODE`: 07 is bud break, 60 flowering")
	f.StringVar(&r.notYet, "not-yet", "", "a stage was looked for and is not reached, by its BBCH `CODE`")
	f.StringVar(&r.going, "going", "", "the person goes on `DAY`, YYYY-MM-DD")
	f.StringVar(&r.away, "away", "", "the person is away from `DAY` on, YYYY-MM-DD, until --until")
	f.StringVar(&r.until, "until", "", "last `DAY` of --away; without it, the same day")
	f.StringVar(&r.problem, "problem", "", "a problem, in `TEXT`, for the coordinator")
	f.IntVar(&r.catkinCount, "count", 0, "`N` catkins counted on the tree, of --catkins")
	for _, b := range []struct {
		to         *bool
		name, text string
	}{
		{&r.off, "off", "all bags are off, and their places marked"}, {&r.picked, "picked", "seed was picked, in packets"},
		{&r.nothing, "nothing", "there was nothing to pick"}, {&r.brown, "brown", "seed catkins are brown"}, {&r.green, "green", "seed catkins are green"},
		{&r.catkins, "catkins", "the trees named bear catkins this year"}, {&r.noCatkins, "no-catkins", "they bear none this year: nothing more is asked of them"},
		{&r.fine, "fine", "bags were looked at and are whole"}, {&r.torn, "torn", "bags are torn on the trees named"},
		{&r.received, "received", "the laboratory has received the seed"}, {&r.unsafe, "unsafe", "nobody can go there without danger"},
		{&r.noPermission, "no-permission", "the landowner or an authority doesn't allow it"},
		{&r.kitArrived, "kit-arrived", "the kit has arrived"}, {&r.understood, "understood", "the coordinator has noted that the season is short"},
		{&r.cant, "cant", "the person can't go; somebody else is asked at once"}, {&r.machineRead, "json", "for programs: stored (false: it was known) and the reports"},
	} {
		f.BoolVar(b.to, b.name, false, b.text)
	}
	return r.do
}

// count defines an option that is a number of bags; -1 is that it wasn't given.
func count(f *flag.FlagSet, to *int, name, text string) {
	f.Func(name, text, func(v string) error {
		if _, err := fmt.Sscanf(v+"\n", "%d\n", to); err != nil || *to < 0 || *to > 99 {
			return fmt.Errorf("give a number from 0 to 99")
		}
		return nil
	})
}

func (r *reportFlags) do(ctx context.Context, _ []string, s Streams) error {
	said, err := r.said()
	if err != nil {
		return err
	}
	return r.memory.with(ctx, func(b *app.Beside) error {
		reports, stored, err := b.Report(ctx, said)
		if err != nil {
			return err
		}
		if r.machineRead {
			return asJSON(s.Out, map[string]any{"stored": stored, "reports": reports})
		}
		return sayStored(s, b, reports, stored)
	})
}

func sayStored(s Streams, b *app.Beside, reports []trail.Report, stored bool) error {
	head, tail := "stored", ""
	if !stored {
		head = "known already, nothing was stored"
	} else if b.Alone {
		tail = "budcall isn't running; it reckons with this when it is started.\n"
	}
	c := words.For("en")
	for _, r := range reports {
		if _, err := fmt.Fprintf(s.Out, "%s: %s, %s, by %s at %s\n", head, reported(c, r), c.DayYear(r.Day), b.Name(r.Person), r.Site); err != nil {
			return fmt.Errorf("writing what was stored: %w", err)
		}
	}
	_, err := fmt.Fprint(s.Out, tail)
	return err
}
