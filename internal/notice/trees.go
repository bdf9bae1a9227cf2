package notice

import (
	"strings"

	"budcall/internal/call"
	"budcall/internal/words"
)

// trees says which trees, and how many bags of which kind on each; for bags
// that go on also how likely the earliest tree is past, and a second trip.
func (i item) trees() []block {
	if len(i.Trees) == 0 || i.Task == call.ShortSeason {
		return nil
	}
	var lines []string
	var all TreeNeed
	for _, t := range i.Trees {
		all.Selfing += t.Selfing
		all.Control += t.Control
		lines = append(lines, i.doubted(t))
	}
	head := i.c.Text(i.treesHead(all))
	if sum := i.bags(all); len(i.Trees) > 1 && sum != "" {
		k := words.TreesCount
		if i.Task == call.SendKit {
			k = words.TreesFor
		}
		if i.Task == call.LotExpected {
			k = words.TreesFor
			sum = i.packets(all)
		}
		count := i.c.Count(k, len(i.Trees))
		head = i.c.Text(words.TreesSum, words.Args{"head": head, "trees": count, "bags": sum})
	}
	if i.Task == call.BagOn && !i.Replaces && i.Why.Earliest >= 0.01 {
		lines = append(lines, i.c.Text(words.EarliestTree, words.Args{"odds": i.c.Odds(i.Why.Earliest)}))
	}
	blocks := []block{{Shape: list, Head: head, Lines: lines}}
	if i.Task == call.BagOn && i.Second {
		second := []string{i.c.Text(words.SecondTripBuds)}
		blocks = append(blocks, block{Shape: fact, Head: i.c.Text(words.FactSecond), Lines: second})
	}
	return blocks
}

// doubted says one tree, what is to be reported of it where other bags hang on
// it already, and since when its seed is doubtful.
func (i item) doubted(t TreeNeed) string {
	said := i.tree(t)
	if i.Task == call.BagOn && t.OnSelfing+t.OnControl > 0 && t.Selfing+t.Control > 0 {
		all := TreeNeed{Selfing: t.OnSelfing + t.Selfing, Control: t.OnControl + t.Control}
		said = i.c.Text(words.TreeThen, words.Args{"tree": said, "bags": i.bags(all)})
	}
	if t.DoubtfulSince == 0 {
		return said
	}
	return i.c.Text(words.TreeDoubtful, words.Args{"tree": said, "day": i.c.Day(t.DoubtfulSince)})
}

// packets says how many packets of each kind.
func (i item) packets(t TreeNeed) string {
	return i.c.List([]string{i.c.Count(words.ReportSelfingPacket, t.Selfing), i.c.Count(words.ReportControlPacket, t.Control)})
}

func (i item) treesHead(all TreeNeed) words.Key {
	switch {
	case i.Task == call.SurveyTrees:
		return words.FactSurvey
	case all.Selfing == 0 && all.Control == 0:
		return words.FactTrees
	case i.Task == call.SendKit:
		return words.FactPack
	case i.Task == call.LotExpected:
		return words.FactLots
	case i.Task == call.CheckBags:
		return words.FactChecked
	case i.Task == call.BagOn:
		return words.FactPutOn
	case i.Task == call.LookAtSeed || i.Task == call.PickSeed: // the bags are off by then, ribbons mark the places
		return words.FactBagged
	}
	return words.FactHanging
}

// tree says one tree: "T1 (KV-101): 2 selfing, 1 control".
func (i item) tree(t TreeNeed) string {
	name := t.Short
	switch {
	case name == "":
		name = t.Code
	case t.Code != "" && t.Code != t.Short:
		name = i.c.Text(words.TreeName, words.Args{"tree": t.Short, "code": t.Code})
	}
	var bags []string
	if t.Selfing > 0 {
		bags = append(bags, i.c.Count(words.SelfingShort, t.Selfing))
	}
	if t.Control > 0 {
		bags = append(bags, i.c.Count(words.ControlShort, t.Control))
	}
	if len(bags) == 0 {
		return name
	}
	return i.c.Text(words.TreeLine, words.Args{"tree": name, "bags": strings.Join(bags, ", ")})
}

// bags says how many bags of each kind; empty for none.
func (i item) bags(t TreeNeed) string {
	var said []string
	if t.Selfing > 0 {
		said = append(said, i.c.Count(words.SelfingBags, t.Selfing))
	}
	if t.Control > 0 {
		said = append(said, i.c.Count(words.ControlBags, t.Control))
	}
	return i.c.List(said)
}
