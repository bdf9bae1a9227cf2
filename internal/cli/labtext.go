package cli

import (
	"fmt"
	"strconv"
	"strings"

	"budcall/internal/trail"
	"budcall/internal/words"
)

// happened says a report or an entry in a few words.
func happened(w *words.Catalogue, l trail.Line) string {
	if l.Report != nil {
		return reported(w, *l.Report)
	}
	e := l.Entry
	text := entered(e)
	if e.Why != "" && e.Kind != trail.LabNoted {
		text += fmt.Sprintf(" (%s)", e.Why)
	}
	return text
}

func entered(e *trail.Entry) string {
	switch {
	case e.Receipt != nil:
		return receivedText(*e.Receipt)
	case e.Kind == trail.LabPlaced:
		return "placed into " + e.Into
	case e.Masses != nil:
		return strings.TrimPrefix(massText("before", e.Masses.BeforeG)+massText("after", e.Masses.AfterG), ", ")
	case e.Moisture != nil:
		return fmt.Sprintf("moisture %.1f %%", e.Moisture.Percent())
	case e.SeedWeight != nil:
		return fmt.Sprintf("thousand-seed weight %.3f g", e.SeedWeight.ThousandG())
	case e.Filled != nil && e.Filled.Catkins > 0:
		return fmt.Sprintf("%d filled of %d seeds from %s", e.Filled.Filled, e.Filled.Tested, counted(e.Filled.Catkins, "catkin"))
	case e.Filled != nil:
		return fmt.Sprintf("%d filled of %d seeds", e.Filled.Filled, e.Filled.Tested)
	case e.Sown != nil:
		return fmt.Sprintf("sown %s seeds, to be counted after %s days", numbers(e.Sown.Seeds), strings.ReplaceAll(numbers(e.Sown.CountDays), " + ", ", "))
	case e.Counted != nil:
		return numbers(e.Counted.Germinated) + " germinated"
	case e.Kind == trail.LabStored:
		return "stored in " + e.Store
	case e.Kind == trail.LabAlias:
		return fmt.Sprintf("also called %q", e.Alias)
	case e.Kind == trail.LabWithdrawn:
		return fmt.Sprintf("entry %d withdrawn", e.Withdraws)
	}
	return "note: " + e.Why
}

func massText(when string, g float64) string {
	if g == 0 {
		return ""
	}
	return fmt.Sprintf(", %g g %s drying", g, when)
}

func receivedText(r trail.Receipt) string {
	text := fmt.Sprintf("received %s written %q", counted(r.Packets, "packet"), r.Written)
	if r.Kind != "" {
		text += ", " + string(r.Kind)
	}
	if r.Condition != "" {
		text += ", " + r.Condition
	}
	return text
}

func numbers(list []int) string {
	var out []string
	for _, n := range list {
		out = append(out, strconv.Itoa(n))
	}
	return strings.Join(out, " + ")
}
