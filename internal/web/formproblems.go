package web

import (
	"strings"

	"budcall/internal/call"
	"budcall/internal/words"
)

// labels is what the fields are called in the list of problems.
var labels = map[string]words.Key{
	fieldDay:      words.FormDay,
	fieldOtherDay: words.FormOtherDay,
	fieldAwayFrom: words.FormAwayFrom, fieldAwayUntil: words.FormAwayUntil, fieldProblem: words.FormProblem,
	fieldPhotos: words.FormPhotos,
	fieldCount:  words.FormCount, fieldTornOf: words.FormTornSelfing, fieldTornCtl: words.FormTornControl,
	fieldSelfing: words.FormSelfingBags,
	fieldControl: words.FormControlBags,
	fieldOff:     words.FormTreeOff,
	fieldNone:    words.FormTreeNothing,
	fieldNothing: words.FormNothing,
}

// summed gives a problem for the list above the form: with its field's name,
// where the problem alone doesn't say it.
func (b formBuilder) summed(name, text string) string {
	kind, tree, _ := strings.Cut(name, ".")
	label, ok := labels[kind]
	if !ok {
		return text
	}
	if t := b.f.Item.Task; t == call.PickSeed || t == call.LotExpected {
		switch kind {
		case fieldSelfing:
			label = words.FormSelfingPacks
		case fieldControl:
			label = words.FormControlPacks
		}
	}
	args := words.Args{"field": b.c.Text(label), "problem": text, "tree": tree}
	if tree != "" {
		return b.c.Text(words.ProblemOfTree, args)
	}
	return b.c.Text(words.ProblemOf, args)
}
