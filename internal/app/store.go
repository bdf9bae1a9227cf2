package app

import (
	"context"
	"time"

	"budcall/internal/advance"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/notice"
	"budcall/internal/postgres"
	"budcall/internal/pull"
	"budcall/internal/season"
	"budcall/internal/stage"
)

// Store is what beginning and doing runs needs of a memory: PostgreSQL's, or
// one that lasts as long as a past season is played. Each of its methods does
// what the method of the same name of postgres.DB does.
type Store interface {
	QueueLetters(ctx context.Context, at time.Time) (int, error)
	Begin(ctx context.Context, p postgres.Plan) (begun bool, err error)
	LastRun(ctx context.Context, name string) (time.Time, error)
	AnswersDue(ctx context.Context, at time.Time) ([]string, error)
	DueSources(ctx context.Context, at time.Time) ([]string, error)
	NextAnswer(ctx context.Context) (time.Time, error)
	NextLetter(ctx context.Context) (time.Time, error)
	NextSource(ctx context.Context) (time.Time, error)

	Calls(ctx context.Context, site string, year int) (map[call.Task]season.State, error)

	Look(ctx context.Context, piece int64) (p postgres.Piece, open bool, err error)
	Within(ctx context.Context, piece int64, sites []string, f func(Book, postgres.Piece) (note string, err error)) error
	Tell(ctx context.Context, piece int64, f func(r postgres.Run, owed []notice.Due, troubles []string) ([]notice.Envelope, error)) error
}

// Book is the memory within one transaction, as postgres.Book is.
type Book interface {
	advance.Reader
	SaveIssued(ctx context.Context, site string, season int, code stage.BBCH, on civil.Date, d ensemble.Days) error
	LinkTurns(ctx context.Context) (map[string]int, error)
	NotIssued(ctx context.Context, site string, on civil.Date) error
	Record(ctx context.Context, site string, season int, zone *time.Location) (stage.Record, error)
	ScoredThrough(ctx context.Context, site string, season int) (report int64, err error)
	SaveScores(ctx context.Context, site string, season int, through int64, scores []stage.Score) error
	Decide(ctx context.Context, d postgres.Decision) error
	Raise(ctx context.Context, subject, text string, at time.Time) error
	Over(ctx context.Context, subject string, at time.Time) error
}

// Puller asks a source and settles the piece of its order; *pull.Job does.
type Puller interface {
	Do(ctx context.Context, o pull.Order) error
}

// pgStore is PostgreSQL's memory as a Store.
type pgStore struct{ *postgres.DB }

// Within settles a piece; f's Book is PostgreSQL's.
func (s pgStore) Within(ctx context.Context, piece int64, sites []string, f func(Book, postgres.Piece) (string, error)) error {
	return s.DB.Within(ctx, piece, sites, func(b *postgres.Book, p postgres.Piece) (string, error) { return f(b, p) })
}

// Calls gives the calls of a site's season as they are stored.
func (s pgStore) Calls(ctx context.Context, site string, year int) (calls map[call.Task]season.State, err error) {
	err = s.DB.Read(ctx, func(b *postgres.Book) error {
		calls, err = b.Calls(ctx, site, year)
		return err
	})
	return calls, err
}
