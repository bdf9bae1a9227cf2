package notice

import (
	"slices"

	"budcall/internal/call"
	"budcall/internal/words"
)

// stepsOf is the checklist of each task.
var stepsOf = map[call.Task]words.Key{
	call.SurveyTrees: words.StepsSurvey,
	call.LookAtBuds:  words.StepsLookAtBuds,
	call.CheckBags:   words.StepsCheckBags,
	call.LotExpected: words.StepsLotExpected,
	call.SendKit:     words.StepsSendKit,
	call.BagOn:       words.StepsBagOn,
	call.TakeOff:     words.StepsTakeOff,
	call.LookAtSeed:  words.StepsLookAtSeed,
	call.PickSeed:    words.StepsPickSeed,
	call.ShortSeason: words.StepsShortSeason,
}

// how says how each task that is asked now is done, each task once.
func (w writer) how() []block {
	var tasks []call.Task
	replace := false
	for _, it := range w.Items {
		if it.Reason.Raised() {
			continue
		}
		replace = replace || it.Task == call.BagOn && it.Replaces
		if it.Standing.Asks() && !slices.Contains(tasks, it.Task) {
			tasks = append(tasks, it.Task)
		}
	}
	ribbons := words.Args{"selfing": w.Ribbons.Selfing, "control": w.Ribbons.Control}
	if w.Ribbons.Selfing == "" || w.Ribbons.Control == "" {
		ribbons = words.Args{"selfing": w.c.Text(words.RibbonOne), "control": w.c.Text(words.RibbonOther)}
	}
	var blocks []block
	for _, task := range tasks {
		k, ok := stepsOf[task]
		if !ok {
			continue
		}
		if task == call.BagOn && replace {
			k = words.StepsReplaceBags
		}
		head := w.c.Text(words.FactHow)
		if len(tasks) > 1 {
			head = w.c.Text(words.FactHowTask, words.Args{"task": w.c.Task(task)})
		}
		lines := w.c.Lines(k, ribbons)
		if k == words.StepsBagOn {
			lines = append(w.species(), lines...)
		}
		blocks = append(blocks, block{Shape: steps, Head: head, Lines: lines})
	}
	return blocks
}

// species says how the species of the trees to be bagged are made sure of, each
// once.
func (w writer) species() (lines []string) {
	for _, it := range w.Items {
		if it.Reason.Raised() || it.Task != call.BagOn || !it.Standing.Asks() {
			continue
		}
		if line := w.c.SpeciesStep(it.Species); !slices.Contains(lines, line) {
			lines = append(lines, line)
		}
	}
	return lines
}

// cautions says the usual cautions, only where somebody is sent to the trees.
func (w writer) cautions() []block {
	out := slices.ContainsFunc(w.Items, Item.outdoors)
	if !out {
		return nil
	}
	lines := w.c.Lines(words.CautionsField)
	seed := slices.ContainsFunc(w.Items, func(it Item) bool {
		return it.outdoors() && (it.Task == call.PickSeed || it.Task == call.LookAtSeed)
	})
	if seed {
		lines = append(lines, w.c.Lines(words.CautionsSeed)...)
	}
	return []block{{Shape: list, Head: w.c.Text(words.FactCautions), Lines: lines}}
}
