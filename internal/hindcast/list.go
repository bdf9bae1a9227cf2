package hindcast

import (
	"errors"
	"fmt"
	"io"
)

// Listed is a line of a list of series to score.
type Listed struct {
	Series, Species, Phase string
	Per                    Unit // empty where the list doesn't say
}

var listNames = map[string][]string{"series": columnNames["series"], "species": columnNames["species"], "phase": columnNames["phase"], "per": {"per"}}

// ReadList reads a list of series, species,phase and if wanted series,per, in
// the same forms as observations. Unlike there a line that can't be read is an
// error: the list is short, and what is asked for must be answered.
func ReadList(r io.Reader) ([]Listed, error) {
	t, err := newRows(r)
	if err != nil {
		return nil, err
	}
	c := find(t.header, listNames)
	if !c.has("species") || !c.has("phase") {
		return nil, errors.New("line 1: the columns species and phase are needed, and series and per may be given: write series,species,phase,per")
	}
	var all []Listed
	for {
		fields, line, broken, err := t.next()
		switch {
		case errors.Is(err, io.EOF) && len(all) == 0:
			return nil, errors.New("no line names a series: write species and phase of each under the header")
		case errors.Is(err, io.EOF):
			return all, nil
		case err != nil:
			return nil, fmt.Errorf("reading the lines: %w: see that the file can be read", err)
		case broken != nil:
			return nil, fmt.Errorf("line %d: %s", broken.Line, broken.Reason)
		}
		l := Listed{Series: c.get(fields, "series"), Species: c.get(fields, "species"), Phase: c.get(fields, "phase"), Per: Unit(c.get(fields, "per"))}
		if err := (Request{Species: l.Species, Phase: l.Phase, Per: l.Per, LeadDays: []int{0}}).Check(); err != nil {
			return nil, fmt.Errorf("line %d: %w", line, err)
		}
		all = append(all, l)
	}
}
