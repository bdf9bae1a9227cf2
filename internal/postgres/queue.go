package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"
	"github.com/riverqueue/river/rivertype"
)

// Handlers do the jobs. Each may be called again for work that is done: it
// finds that out itself and returns nil.
type Handlers struct {
	Work    func(ctx context.Context, id int64) error        // a piece of a run
	Deliver func(ctx context.Context, id string) error       // a letter
	Seen    func(kind string, took time.Duration, err error) // for metrics; may be nil
}

// workArgs is the River job for a piece of a run.
type workArgs struct {
	ID int64 `json:"id"`
}

func (workArgs) Kind() string { return "work" }

// deliverArgs is the River job for a letter.
type deliverArgs struct {
	ID string `json:"id"`
}

func (deliverArgs) Kind() string { return "deliver" }

// Queue works off jobs on this process.
type Queue struct {
	client *river.Client[pgx.Tx]
}

// jobTimeout bounds every job; a letter is given up long before.
const jobTimeout = 5 * time.Minute

type worker[T river.JobArgs] struct {
	river.WorkerDefaults[T]
	do   func(ctx context.Context, args T) error
	seen func(kind string, took time.Duration, err error)
}

func (w *worker[T]) Work(ctx context.Context, job *river.Job[T]) error {
	start := time.Now()
	err := w.do(ctx, job.Args)
	if w.seen != nil {
		w.seen(job.Args.Kind(), time.Since(start), err)
	}
	return err
}

// NextRetry tries again soon: jobs are repeatable and the engine watches over
// runs and letters anyway.
func (w *worker[T]) NextRetry(job *river.Job[T]) time.Time {
	return time.Now().Add(time.Duration(min(job.Attempt*job.Attempt, 60)) * time.Second)
}

// insertOnly is what transactions use to add jobs.
func insertOnly(db *DB) (*river.Client[pgx.Tx], error) {
	// The cooldown also limits how often an insertion is announced.
	return river.NewClient(riverpgxv5.New(db.pool), &river.Config{Schema: queueSchema, Logger: quiet(), FetchCooldown: river.FetchCooldownMin})
}

// NewQueue prepares the queue; Start begins to work.
func (db *DB) NewQueue(h Handlers, workers int) (*Queue, error) {
	set := river.NewWorkers()
	river.AddWorker(set, &worker[workArgs]{seen: h.Seen, do: func(ctx context.Context, a workArgs) error { return h.Work(ctx, a.ID) }})
	river.AddWorker(set, &worker[deliverArgs]{seen: h.Seen, do: func(ctx context.Context, a deliverArgs) error { return h.Deliver(ctx, a.ID) }})
	client, err := river.NewClient(riverpgxv5.New(db.pool), &river.Config{
		Schema:               queueSchema,
		Queues:               map[string]river.QueueConfig{river.QueueDefault: {MaxWorkers: workers, FetchCooldown: river.FetchCooldownMin, FetchPollInterval: 500 * time.Millisecond}},
		Workers:              set,
		Logger:               db.log,
		JobTimeout:           jobTimeout,
		RescueStuckJobsAfter: jobTimeout + time.Minute,
		ErrorHandler:         jobErrors{db},
	})
	if err != nil {
		return nil, fmt.Errorf("preparing the job queue: %w", err)
	}
	return &Queue{client: client}, nil
}

// Start begins to work off jobs until Stop or the end of ctx.
func (q *Queue) Start(ctx context.Context) error { return q.client.Start(ctx) }

// Stop finishes the jobs that run and takes no new ones; when ctx ends first,
// the running ones are cancelled.
func (q *Queue) Stop(ctx context.Context) error {
	err := q.client.Stop(ctx)
	if errors.Is(err, context.DeadlineExceeded) || errors.Is(err, context.Canceled) {
		return q.client.StopAndCancel(context.WithoutCancel(ctx))
	}
	return err
}

type jobErrors struct{ db *DB }

func (j jobErrors) HandleError(ctx context.Context, job *rivertype.JobRow, err error) *river.ErrorHandlerResult {
	j.db.log.WarnContext(ctx, "a job failed and will be tried again", "kind", job.Kind, "attempt", job.Attempt, "error", err)
	return nil
}

func (j jobErrors) HandlePanic(ctx context.Context, job *rivertype.JobRow, val any, trace string) *river.ErrorHandlerResult {
	j.db.log.ErrorContext(ctx, "a job panicked and will be tried again", "kind", job.Kind, "panic", val, "trace", trace)
	return nil
}
