package web

import (
	"fmt"
	"strings"

	"budcall/internal/call"
	"budcall/internal/notice"
	"budcall/internal/words"
)

func (b formBuilder) trees(v *formView) {
	task := b.f.Item.Task
	switch task {
	case call.SurveyTrees:
		v.TreesHead, v.TreesHint = b.c.Text(words.FormSurvey), b.c.Text(words.FormSurveyHint)
		v.Nothing = b.tick(fieldBare, valueYes, b.c.Text(words.FormBareSite))
	case call.CheckBags:
		v.TreesHead, v.TreesHint = b.c.Text(words.FormCheck), b.c.Text(words.FormCheckHint)
	case call.LotExpected:
		v.TreesHead, v.TreesHint = b.c.Text(words.FormLots), b.c.Text(words.FormLotsHint)
	case call.BagOn:
		v.TreesHead, v.TreesHint = b.c.Text(words.FormBags), b.c.Text(words.FormBagsHint)
	case call.TakeOff:
		v.TreesHead, v.TreesHint = b.c.Text(words.FormOff), b.c.Text(words.FormOffHint)
	case call.LookAtSeed, call.PickSeed:
		v.TreesHead, v.TreesHint = b.c.Text(words.FormPicked), b.c.Text(words.FormPickedHint)
		v.Nothing = b.tick(fieldNothing, valueYes, b.c.Text(words.FormNothing))
	default:
		return
	}
	for _, n := range b.f.asked() {
		v.Trees = append(v.Trees, b.tree(n))
	}
	for _, n := range b.f.others() {
		v.Others = append(v.Others, b.tree(n))
	}
	switch task {
	case call.BagOn, call.TakeOff, call.LookAtSeed:
		if len(v.Trees) > 1 {
			v.All = b.all()
		}
	case call.CheckBags:
		if len(v.Trees) > 0 {
			v.All = b.allFine()
		}
	}
}

// all gives the tick for all trees of which something is asked: its value is
// what its label says, tree by tree.
func (b formBuilder) all() choice {
	var option, label []string
	key := words.FormAllOff
	for _, n := range b.f.asked() {
		part := n.Short
		if b.f.Item.Task == call.BagOn {
			key = words.FormAllOn
			s, c := b.f.bagsOn(n.Short)
			counts := fmt.Sprintf("%d+%d", s+n.Selfing, c+n.Control)
			part += "=" + counts
			label = append(label, n.Short+"\u00a0"+counts) // kept on one line
		} else {
			label = append(label, n.Short)
		}
		option = append(option, part)
	}
	return b.tick(fieldAll, strings.Join(option, " "), b.c.Text(key, words.Args{"trees": strings.Join(label, ", ")}))
}

func (b formBuilder) tree(n notice.TreeNeed) treeRow {
	row := treeRow{Name: b.c.Text(words.FormTree, words.Args{"short": n.Short, "code": n.Code})}
	at := "." + n.Short
	bags := words.Args{"bags": saidBags(b.c, n.Selfing, n.Control)}
	if n.Selfing+n.Control > 0 {
		row.Hint = b.c.Text(words.FormHanging, bags)
	}
	b.callTree(&row, n.Short)
	switch b.f.Item.Task {
	case call.LotExpected:
		row.Hint = ""
	case call.BagOn:
		row.Ticks = []choice{b.tick(fieldGreenTip+at, valueYes, b.c.Text(words.FormGreenTip))}
		if row.Hint != "" {
			row.Hint = b.c.Text(words.FormStillToPut, bags)
		}
		row.Counts = []field{b.field(fieldSelfing+at, b.c.Text(words.FormSelfingBags)), b.field(fieldControl+at, b.c.Text(words.FormControlBags))}
	case call.TakeOff:
		row.Ticks = []choice{b.tick(fieldOff+at, valueYes, b.c.Text(words.FormTreeOff))}
	case call.LookAtSeed, call.PickSeed:
		row.Counts = []field{b.field(fieldSelfing+at, b.c.Text(words.FormSelfingPacks)), b.field(fieldControl+at, b.c.Text(words.FormControlPacks))}
		row.Ticks = []choice{b.tick(fieldNone+at, valueYes, b.c.Text(words.FormTreeNothing))}
	}
	return row
}
