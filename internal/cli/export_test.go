package cli

import (
	"context"
	"io"

	"budcall/internal/civil"
)

// Listen gives, for tests, the contexts that signals end.
func Listen(ctx context.Context) (working, closing context.Context, stop func()) {
	s := listen(ctx)
	return s.working, s.closing, s.close
}

// HistoryRows and HistoryJSON are what why --history writes.
var (
	HistoryRows = historyRows
	HistoryJSON = historyJSON
)

// DrawScoreBar gives, for tests, what draws and ends the bar of score.
func DrawScoreBar(w io.Writer, series int) (show func(i, done, total int), end func()) {
	b := &scoreBar{bar: bar{out: w}, of: series}
	return func(i, done, total int) { b.of1(i)(done, total) }, b.end
}

// DrawSeasonBar gives the same of the bar of demo and replay.
func DrawSeasonBar(w io.Writer) (show func(day, first, last civil.Date, mails int), end func()) {
	b := &seasonBar{bar{out: w}}
	return b.day, b.end
}
