package cli

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"budcall/internal/app"
	"budcall/internal/config"
	"budcall/internal/sheet"
)

// outcome is what became of a plan.
type outcome struct {
	applied  bool
	only     bool // it can only be compared
	files    []string
	problems []config.Problem // that the configuration would have
	tail     string           // a line more for people
}

// say lists a plan and what became of it, and fails where it can't be applied.
func (i *importFlags) say(p sheet.Plan, out outcome, s Streams) error {
	slices.Sort(out.files)
	if i.machine {
		if err := planJSON(s.Out, i.dir, p, out); err != nil {
			return err
		}
		if !p.Clear() || len(out.problems) > 0 {
			return errSaid
		}
		return nil
	}
	if err := planText(s.Out, p, out); err != nil {
		return err
	}
	for _, n := range p.Notes {
		fmt.Fprintf(s.Err, "%s: %s\n", p.File, n)
	}
	for _, r := range p.Rejects {
		fmt.Fprintln(s.Err, r.Error())
	}
	for _, r := range p.Conflicts {
		fmt.Fprintln(s.Err, r.Error())
	}
	fmt.Fprint(s.Err, app.Problems(i.dir, out.problems))
	switch {
	case !p.Clear():
		return fmt.Errorf("%s and %s in %s: nothing was written; correct them and import it again", counted(len(p.Rejects), "rejected row"), counted(len(p.Conflicts), "conflict"), p.File)
	case len(out.problems) > 0:
		return fmt.Errorf("with this table the configuration would have %s: nothing was written; correct the table and import it again", counted(len(out.problems), "problem"))
	}
	return nil
}

func planText(w io.Writer, p sheet.Plan, out outcome) error {
	var rows [][]string
	for _, r := range p.Adds {
		rows = append(rows, []string{"add", keyOf(p.Kind, r), valuesOf(p.Kind, r)})
	}
	for _, c := range p.Changes {
		for _, cell := range c.Cells {
			rows = append(rows, []string{"change", c.Key, fmt.Sprintf("%s: %s → %s", cell.Column, orNothing(cell.Old), orNothing(cell.New))})
		}
	}
	if err := table(w, rows); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "%s: %d to add, %d to change, %d unchanged, %d said twice, %d in conflict, %d rejected; %d known that it doesn't name.\n%s\n",
		p.File, len(p.Adds), len(p.Changes), p.Unchanged, p.Repeated, len(p.Conflicts), len(p.Rejects), p.Left, closing(p, out))
	if err != nil {
		return fmt.Errorf("writing what the table says: %w", err)
	}
	return nil
}

// closing says what was done, or how to have it done.
func closing(p sheet.Plan, out outcome) string {
	switch {
	case out.applied && len(out.files) > 0:
		return "Written: " + strings.Join(out.files, ", ") + out.tail
	case out.applied:
		return "Stored." + out.tail
	case out.only:
		return "Compared; " + string(p.Kind) + " follow from reports and the laboratory's book."
	case !p.Clear() || len(out.problems) > 0:
		return "Nothing was written."
	case p.Empty():
		return "There is nothing to do."
	}
	return "Nothing was written; --apply does it."
}

func keyOf(k sheet.Kind, r sheet.Row) string {
	var parts []string
	for _, c := range sheet.Key(k) {
		if v := r.Text(c); v != "" {
			parts = append(parts, v)
		}
	}
	return strings.Join(parts, " ")
}

// valuesOf lists what a row says beside its key.
func valuesOf(k sheet.Kind, r sheet.Row) string {
	var parts []string
	for _, c := range sheet.Columns(k) {
		if v := r.Text(c); v != "" && !slices.Contains(sheet.Key(k), c) {
			parts = append(parts, c+" "+oneLine(v))
		}
	}
	return strings.Join(parts, ", ")
}

func orNothing(v string) string {
	if v == "" {
		return "nothing"
	}
	return oneLine(v)
}

// oneLine makes a value fit into a table.
func oneLine(v string) string { return strings.Join(strings.Fields(v), " ") }

func planJSON(w io.Writer, dir string, p sheet.Plan, out outcome) error {
	adds := make([]map[string]string, 0, len(p.Adds))
	for _, r := range p.Adds {
		adds = append(adds, r.Values)
	}
	return asJSON(w, struct {
		OK        bool                `json:"ok"`
		Applied   bool                `json:"applied"`
		Adds      []map[string]string `json:"adds"`
		Changes   []sheet.Change      `json:"changes"`
		Unchanged int                 `json:"unchanged"`
		Repeated  int                 `json:"repeated"`
		Left      int                 `json:"left"`
		Conflicts []sheet.Reject      `json:"conflicts"`
		Rejects   []sheet.Reject      `json:"rejects"`
		Problems  []finding           `json:"problems"`
		Notes     []string            `json:"notes"`
		Files     []string            `json:"files"`
	}{
		p.Clear() && len(out.problems) == 0, out.applied, adds, orNone(p.Changes), p.Unchanged, p.Repeated, p.Left,
		orNone(p.Conflicts), orNone(p.Rejects), findings(dir, out.problems), orNone(p.Notes), orNone(out.files),
	})
}

// orNone makes no list an empty one, which is what programs expect.
func orNone[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// refusedJSON says that a file can't be read as a whole.
func refusedJSON(w io.Writer, r sheet.Reject) error {
	if err := planJSON(w, "", sheet.Plan{Rejects: []sheet.Reject{r}}, outcome{}); err != nil {
		return err
	}
	return errSaid
}
