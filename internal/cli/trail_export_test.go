package cli

import (
	"bytes"

	"budcall/internal/app"
	"budcall/internal/trail"
)

// LotTable and IsolationTable give, for tests, what lots and isolation print of
// a season's events.
func LotTable(e trail.Events) (string, error) {
	f := followed(e)
	lots, waiting := lotsAndWaiting(f, false)
	var b bytes.Buffer
	err := table(&b, lotRows(f, lots, waiting))
	return b.String(), err
}

// IsolationTable: see LotTable.
func IsolationTable(e trail.Events) (string, error) {
	f := followed(e)
	var b bytes.Buffer
	err := table(&b, isolationRows(f, f.Isolations()))
	return b.String(), err
}

func followed(e trail.Events) app.Followed {
	return app.Followed{Trail: trail.Fold(e), Directory: trail.NewDirectory(e.Trees, nil), Today: e.Today}
}
