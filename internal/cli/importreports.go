package cli

import (
	"context"
	"fmt"
	"slices"

	"budcall/internal/app"
	"budcall/internal/sheet"
	"budcall/internal/trail"
)

// intoMemory compares a table of reports with what is known of this season and
// stores what is new or corrected.
func (i *importFlags) intoMemory(ctx context.Context, b *app.Beside, table sheet.Table, s Streams) error {
	known, err := b.Season(ctx, 0)
	if err != nil {
		return err
	}
	plan := sheet.Compare(sheet.FromReports(known), table)
	reports, err := taken(ctx, b, &plan, known)
	if err != nil {
		return err
	}
	out := outcome{}
	if i.apply && plan.Clear() && !plan.Empty() {
		if out.applied, err = b.Take(ctx, reports, known); err != nil {
			return err
		}
		if out.applied && b.Alone {
			out.tail = " budcall isn't running; it reckons with this when it is started."
		}
	}
	return i.say(plan, out, s)
}

// taken gives the reports that a plan adds or corrects, ready to be stored. A
// row that the command line would refuse is rejected with the same words.
func taken(ctx context.Context, b *app.Beside, plan *sheet.Plan, known []trail.Report) ([]trail.Report, error) {
	rows := slices.Clone(plan.Adds)
	for _, c := range plan.Changes {
		rows = append(rows, c.Row)
	}
	slices.SortStableFunc(rows, func(a, b sheet.Row) int { return a.Line - b.Line })
	reports, wrong, err := b.Completed(ctx, sheet.Table{Kind: sheet.Reports, Rows: rows}.Reports(), known)
	if err != nil {
		return nil, err
	}
	for n, err := range wrong {
		if err != nil {
			plan.Rejects = append(plan.Rejects, sheet.Reject{File: plan.File, Line: rows[n].Line, Reason: sheet.Unknown, What: explain(err)})
			plan.Drop(rows[n])
		}
	}
	return reports, nil
}

// seasonTable gives what the memory knows of a season as a table.
func seasonTable(ctx context.Context, b *app.Beside, k sheet.Kind, season int) (sheet.Table, error) {
	if k == sheet.Reports {
		known, err := b.Season(ctx, season)
		return sheet.FromReports(known), err
	}
	f, err := b.Trail(ctx, season)
	if err != nil {
		return sheet.Table{}, err
	}
	switch k {
	case sheet.Bags:
		return sheet.FromBags(f.Trees), nil
	case sheet.Lots:
		return sheet.FromLots(f.Lots), nil
	}
	return sheet.Table{}, fmt.Errorf("%s don't stand in the memory: they are in the configuration folder", k)
}
