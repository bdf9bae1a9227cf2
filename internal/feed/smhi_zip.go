package feed

import (
	"errors"
	"fmt"
	"path"
)

// parseSMHIZip reads files of one station that hold one parameter each, as one
// series. The extremes are of other hours than the mean; the heat is the
// mean's, so the window is, and a note says the rest.
func parseSMHIZip(files archive, opt Options) (Batch, error) {
	var parts []Batch
	var window Window
	var nothing error
	for _, f := range files {
		b, err := files.parseOne(f, parseSMHI, opt)
		if r := (*Refusal)(nil); errors.As(err, &r) && r.Empty {
			nothing = err
			continue
		}
		if err != nil {
			return Batch{}, fmt.Errorf("%s: %w", shortenTo(100, path.Base(f.Name)), err)
		}
		if len(parts) == 0 || b.MeanOf != "" {
			window = b.Window
		}
		parts = append(parts, b)
	}
	if len(parts) == 0 {
		return Batch{}, nothing
	}
	var rejects rejectList
	var others Window
	for i := range parts {
		if parts[i].Window != window {
			others, parts[i].Window = parts[i].Window, window
		}
		for _, r := range parts[i].Rejects {
			rejects.add(r.Line, r.Text, r.Reason)
		}
		rejects.more += parts[i].MoreRejects
	}
	opt.ReadingsOnly = true // days of readings are made afterwards
	b, err := Merge(parts, opt)
	if err != nil {
		return Batch{}, err
	}
	if others.Stated() {
		b.Notes = append(b.Notes, fmt.Sprintf("the extremes are of the day %s, the mean is of %s", others, window))
	}
	b.Rejects, b.MoreRejects = rejects.listed, rejects.more
	return b, nil
}
