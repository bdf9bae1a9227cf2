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

var trailCommand = command{
	name: "trail", operands: "CODE", least: 1,
	purpose: "show the history of a tree, bag or lot: what happened, who said it and when",
	text: "CODE is the code of a tree (K-001-C), a bag (K-001-31S2-5), a lot (K-001-31S-5) or unplaced seed (14U-S), as its label has it; " +
		"small letters and blanks for hyphens do no harm. A code with anything wrong in it is never taken for another: near ones are named instead. " +
		"Numbers in front are those of entries, for `budcall lab withdraw`.",
	example: "budcall trail K-001-C\nbudcall trail \"k 001 c\" --season 2030 --json",
	define:  defineTrail,
}

func defineTrail(f *flag.FlagSet) action {
	var o ofSeason
	o.define(f)
	return func(ctx context.Context, operands []string, s Streams) error {
		if err := o.check(); err != nil {
			return err
		}
		return o.with(ctx, func(b *app.Beside) error {
			t, c, how, err := b.Follow(ctx, operands[0], o.season)
			if trees := treesAt(t, operands[0]); err != nil && len(trees) > 0 {
				return fmt.Errorf("%s is a site: give the code of one of its trees, %s, or of a bag or lot", operands[0], strings.Join(trees, ", "))
			}
			if err != nil {
				return err
			}
			a, err := aboutCode(b, t, c, how)
			if err != nil {
				return err
			}
			if o.machine {
				return asJSON(s.Out, a.value)
			}
			return table(s.Out, a.rows)
		})
	}
}

// treesAt gives the codes of a site's trees; none where no site has that code.
func treesAt(f app.Followed, site string) (codes []string) {
	for _, t := range f.Trees {
		if strings.EqualFold(t.Site, site) {
			codes = append(codes, t.Code)
		}
	}
	return codes
}

// about is what is known of a code, for people and for programs.
type about struct {
	rows  [][]string
	value any
}

func (a *about) add(name, text string) {
	if text != "" {
		a.rows = append(a.rows, []string{name, text})
	}
}

func aboutCode(b *app.Beside, t app.Followed, c trail.Code, how trail.How) (a about, err error) {
	w := words.For("en")
	a.rows = [][]string{{string(c.What()), fmt.Sprintf("%s, season %d", c, t.Season)}}
	if how == trail.WithoutCheck {
		a.add("", fmt.Sprintf("found by %s, which has no check character: compare with the label", c.Tree))
	}
	var history []trail.Line
	switch c.What() {
	case trail.Unplaced:
		u := t.Waiting(c.String())
		if u == nil {
			return a, fmt.Errorf("nothing unplaced has the code %s: `budcall lots` lists what is", c)
		}
		history, a.value = u.History, u
		a.unplaced(b, w, u)
	case trail.ATree:
		tree := t.Tree(c.Tree)
		history, a.value = tree.History, tree
		a.tree(w, t, tree)
	case trail.ABag:
		bag := bagOf(t, c)
		if bag == nil {
			return a, fmt.Errorf("no bag %s is known in season %d: `budcall trail %s` lists the bags of its tree", c, t.Season, trail.Code{Tree: c.Tree})
		}
		history, a.value = bag.History, bag
		a.add("state", bagState(w, bag))
	default:
		lot := t.Lot(c.Tree, c.Kind)
		if lot == nil {
			return a, fmt.Errorf("no lot %s is known in season %d: nothing was reported picked or received; `budcall lots` lists the lots", c, t.Season)
		}
		history, a.value = lot.History, lot
		a.lot(w, t, lot)
	}
	a.history(b, w, history)
	return a, nil
}

func bagOf(t app.Followed, c trail.Code) *trail.Bag {
	if tree := t.Tree(c.Tree); tree != nil {
		for _, b := range tree.Bags {
			if b.Kind == c.Kind && b.Number == c.Bag {
				return b
			}
		}
	}
	return nil
}

func bagState(w *words.Catalogue, b *trail.Bag) string {
	text := string(b.State)
	if b.State == trail.Doubtful {
		text = "on"
	}
	if b.PutOn != 0 {
		text += ", put on " + w.Day(b.PutOn)
	}
	if b.TakenOff != 0 {
		text += ", taken off " + w.Day(b.TakenOff)
	}
	if b.Doubt != "" {
		text += fmt.Sprintf(", doubtful since %s: %s", w.Day(b.DoubtfulSince), b.Doubt)
	}
	if b.Replaced != "" {
		text += ", replaced by " + b.Replaced
	}
	return text
}

func (a *about) tree(w *words.Catalogue, t app.Followed, tree *trail.TreeTrail) {
	a.add("at", fmt.Sprintf("%s, %s in replies, %s in its site's file", tree.Site, tree.Tree.Short, tree.Tree.Code))
	switch {
	case tree.Tree.Gone:
		a.add("state", "gone: nothing is asked of it")
	case tree.NoCatkins:
		a.add("survey", "no catkins this year")
	case tree.Bears && tree.Catkins > 0:
		a.add("survey", counted(tree.Catkins, "catkin"))
	case tree.Bears:
		a.add("survey", "bears catkins")
	}
	for i, b := range tree.Bags {
		a.rows = append(a.rows, []string{[]string{"bags", ""}[min(i, 1)], b.Code + "  " + bagState(w, b)})
	}
	first := "lots"
	for _, k := range trail.BagKinds {
		if l := t.Lot(trail.Base(tree.Tree.Code), k); l != nil {
			a.rows = append(a.rows, []string{first, l.Code + "  " + stateOf(w, l)})
			first = ""
		}
	}
}

func (a *about) lot(w *words.Catalogue, t app.Followed, l *trail.Lot) {
	a.add("of", fmt.Sprintf("tree %s at %s, %s", trail.WithCheck(l.Tree), l.Site, l.Kind))
	a.add("state", stateOf(w, l)+", "+packetsOf(l))
	a.add("bags", strings.Join(l.Bags, " "))
	a.add("look at", strings.Join(lookAt(w, l, t.Today), "; "))
	a.add("condition", strings.Join(l.Condition, "; "))
	a.add("was", strings.Join(l.Parts, " "))
	a.results(w, l.Results)
}

func (a *about) unplaced(b *app.Beside, w *words.Catalogue, u *trail.UnplacedSeed) {
	a.add("written", fmt.Sprintf("%q, %s%s", u.Written, counted(u.Packets, "packet"), maybe(u.Near)))
	if u.Into != "" {
		a.add("placed", fmt.Sprintf("into %s, %s, by %s: %s", u.Into, w.Day(u.PlacedOn), b.Name(u.PlacedBy), u.Why))
	}
	a.results(w, u.Results)
}

// results adds what the laboratory found.
func (a *about) results(w *words.Catalogue, r *trail.Laboratory) {
	for _, m := range r.Masses {
		text := fmt.Sprintf("%g g before drying, %g g after", m.BeforeG, m.AfterG)
		switch {
		case m.AfterG == 0:
			text = fmt.Sprintf("%g g before drying", m.BeforeG)
		case m.BeforeG == 0:
			text = fmt.Sprintf("%g g after drying", m.AfterG)
		}
		a.add("mass", text)
	}
	for _, m := range r.Moisture {
		a.add("moisture", fmt.Sprintf("%.1f %% of the fresh mass, %s", m.Percent, counted(len(m.Samples), "sample")))
	}
	for _, s := range r.SeedWeight {
		text := fmt.Sprintf("%.3f g for a thousand, %s of %d seeds", s.ThousandG, counted(len(s.Grams), "replicate"), s.Seeds)
		if s.VariationPercent > 0 {
			text += fmt.Sprintf(", varying by %.1f %%", s.VariationPercent)
		}
		if s.VariationPercent > trail.MostVariationPercent {
			text += fmt.Sprintf(": more than %d %%, weigh again", trail.MostVariationPercent)
		}
		a.add("seed weight", text)
	}
	if r.Filled.Tested > 0 {
		a.add("filled", share(trail.ShareOf(r.Filled.Filled, r.Filled.Tested)))
	}
	for _, g := range r.Germination {
		text := fmt.Sprintf("sown %s, %s, not counted yet", w.Day(g.Sown), counted(len(g.Seeds), "replicate"))
		if g.Counted != 0 {
			text = fmt.Sprintf("%s, counted %s", share(g.Share()), w.Day(g.Counted))
		}
		if g.Due != 0 {
			text += ", next count " + w.Day(g.Due)
		}
		a.add("germination", text)
	}
}

// share says a counted share with what it may be in truth.
func share(s trail.Share) string {
	if s.Got == 0 {
		return fmt.Sprintf("0 of %d, at most %s (95 %%)", s.Of, percent(s.High))
	}
	return fmt.Sprintf("%d of %d, %s to %s (95 %%)", s.Got, s.Of, percent(s.Low), percent(s.High))
}

// percent writes a share with two digits that count.
func percent(p float64) string {
	if p >= 0.1 {
		return fmt.Sprintf("%.0f %%", 100*p)
	}
	return fmt.Sprintf("%.2g %%", 100*p)
}

func (a *about) history(b *app.Beside, w *words.Catalogue, lines []trail.Line) {
	for i, l := range lines {
		text := happened(w, l)
		if l.Became != "" {
			text += " → " + l.Became
		}
		switch {
		case l.Withdrawn:
			text += " (withdrawn)"
		case l.Unused != "":
			text += " (doesn't count: " + l.Unused + ")"
		}
		number := ""
		if l.Entry != nil {
			number = fmt.Sprintf("entry %d: ", l.Entry.ID)
		}
		who := fmt.Sprintf("by %s (%s)", b.Name(l.Person), l.Way)
		if on := civil.At(l.At.In(b.Programme().Zone)); on != l.Day {
			who += ", told " + w.Day(on)
		}
		a.rows = append(a.rows, []string{[]string{"history", ""}[min(i, 1)], fmt.Sprintf("%s  %s%s, %s", w.Day(l.Day), number, text, who)})
	}
	if len(lines) == 0 {
		a.add("history", "nothing was reported yet")
	}
}
