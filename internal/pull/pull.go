// Package pull is the job that asks one source of weather and stores what it
// brought: raw copy, days, rejected lines. One source's trouble holds back no
// other.
package pull

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"hash/fnv"
	"log/slog"
	"strings"
	"sync"
	"time"

	"budcall/internal/civil"
	"budcall/internal/feed"
	"budcall/internal/weather"
)

// Memory is what the job needs of the memory.
type Memory interface {
	Source(ctx context.Context, name string) (weather.Source, error)
	// StoreHaul settles a piece of a run with what its source brought.
	StoreHaul(ctx context.Context, piece int64, h weather.Haul) error
}

// Asking is one request to a source.
type Asking struct {
	Path           string    // of a file; or else
	URL            string    // or else
	Served         any       // as in Order
	Now            time.Time // the program's time
	weather.Source           // what is remembered of it: Expires, LastModified, ETag
}

// Answer is what came back.
type Answer struct {
	Body         []byte // empty where nothing has changed
	Unchanged    bool
	Empty        bool // it answers as it should, and says that it has nothing of the days asked for
	Expires      time.Time
	LastModified string
	ETag         string
}

// Fetcher asks, politely. An error that may pass by itself is a *Passing.
type Fetcher interface {
	Ask(ctx context.Context, a Asking) (Answer, error)
}

// Passing is a failure that may pass by itself.
type Passing struct {
	Err   error
	After time.Time // not to be asked again before; zero if the other side said nothing
}

func (p *Passing) Error() string { return p.Err.Error() }
func (p *Passing) Unwrap() error { return p.Err }

// Misplaced is a failure that concerns the place asked for alone, whoever else
// is served by the same provider.
type Misplaced struct{ Err error }

func (m *Misplaced) Error() string { return m.Err.Error() }
func (m *Misplaced) Unwrap() error { return m.Err }

// Order is one source to ask.
type Order struct {
	Piece   int64  // of the run
	Name    string // station:CODE or outlook:SITE
	Class   string // station, outlook
	Site    string // of an outlook
	Path    string
	URL     string
	Served  any // a station that its provider is asked for, or a part of its past, as the fetcher knows it; the job hands it on
	Format  string
	Options feed.Options
	Zone    *time.Location // whose calendar says which days are over
	Now     time.Time      // the program's time

	Neighbours []string // codes of the stations that a station's days are judged by
	Critical   bool     // a site that uses the station has a call whose days are near
	BackFill   bool     // a part of the past: judged as a whole, and nobody is told of single days

	// Asked is the days that the request of a back-fill names; an answer with none
	// of them is no answer to it. Without a first day it names a file, which holds
	// whatever it holds.
	Asked civil.Range

	// Provider is whom several sources are asked of for different places, such as a
	// forecast: its trouble is told once, not once for each of them. Empty: each
	// source tells its own.
	Provider string

	RawCopies time.Duration // how long raw copies are kept; 0: for ever
}

// Job asks sources.
type Job struct {
	Memory  Memory
	Fetcher Fetcher
	Logger  *slog.Logger
	Trouble func(ctx context.Context, subject, text string) error // tells the ops person
	Over    func(ctx context.Context, subject string) error
	Counted func(rejects int, marks []weather.Mark) // of new days, for metrics; may be nil
	// Past gives the stored days of a station in the years first..last, both
	// included, sorted. Where it is nil, days are judged each by itself only.
	Past func(ctx context.Context, station string, first, last int) ([]weather.Day, error)

	heard  sync.Map // station's name → up to when its neighbours had reported when it was judged
	hadAs  sync.Map // source name → how it was asked and read when it last brought something
	parsed sync.Map // source name → parsed: a file that hasn't changed isn't read twice
}

type parsed struct {
	sum   [sha256.Size]byte
	batch feed.Batch
}

// Do asks one source. What the source does wrong is stored and told, and is no
// error of the job; only a failing memory is.
func (j *Job) Do(ctx context.Context, o Order) error {
	src, err := j.Memory.Source(ctx, o.Name)
	if err != nil {
		return err
	}
	src.Class = o.Class
	h := weather.Haul{Source: src, At: o.Now, OpenYear: o.Now.In(o.Zone).Year(), Outlook: o.Site}
	if o.RawCopies > 0 {
		h.ForgetRawBefore = o.Now.Add(-o.RawCopies)
	}
	if o.Now.Before(src.Expires) {
		return j.Memory.StoreHaul(ctx, o.Piece, h) // asked not to ask yet
	}
	if src.RenewedAt.IsZero() {
		src.RenewedAt = o.Now
	}
	answer, err := j.Fetcher.Ask(ctx, Asking{Path: o.Path, URL: o.URL, Served: o.Served, Now: o.Now, Source: j.conditional(o, src)})
	h.Source = src
	var suspicion string
	if err == nil {
		suspicion, err = j.read(o, &answer, &h)
	}
	if err == nil && suspicion != "" && o.BackFill { // what isn't used isn't had
		err = errors.New(suspicion)
	}
	if err != nil {
		h.Source = src // an answer that can't be used changes nothing of what is sent along next time
		return j.failed(ctx, o, h, err)
	}
	if err := j.judge(ctx, o, answer, &h, suspicion); err != nil {
		return err
	}
	h.Source.Failures = 0
	if err := j.Memory.StoreHaul(ctx, o.Piece, h); err != nil {
		return err
	}
	j.hadAs.Store(o.Name, o.how())
	if j.Counted != nil {
		j.Counted(len(h.Rejects), marksOf(h.Days))
	}
	for _, r := range h.Rejects[:min(3, len(h.Rejects))] {
		j.Logger.WarnContext(ctx, "a line was rejected", "source", o.Name, "line", r.Line, "reason", r.Reason)
	}
	return nil
}

// judge judges what a source brought beside others, and notes what the ops
// person must know. It comes before the haul is stored, for what the run tells
// afterwards must hold it.
func (j *Job) judge(ctx context.Context, o Order, a Answer, h *weather.Haul, suspicion string) error {
	if suspicion == "" {
		if err := j.compare(ctx, o, h); err != nil {
			return err
		}
		if err := j.methods(ctx, o, *h); err != nil {
			return err
		}
		if err := j.nothingNew(ctx, o, a, h); err != nil {
			return err
		}
	}
	return j.told(ctx, o, a, suspicion, h.Source.Failures)
}

// told notes what a source's answer means to the ops person.
// failures is how often it had failed before.
func (j *Job) told(ctx context.Context, o Order, a Answer, suspicion string, failures int) error {
	if err := j.Over(ctx, o.Name); err != nil {
		return err
	}
	if o.Provider != "" && failures > 0 { // whoever never failed says nothing of those that do
		if err := j.Over(ctx, o.Provider); err != nil {
			return err
		}
	}
	content := o.Name + " content" // apart, for an unchanged answer ends a failure and mends no content
	switch {
	case a.Unchanged, a.Empty:
		return nil
	case suspicion != "":
		return j.Trouble(ctx, content, where(o)+": "+suspicion)
	}
	return j.Over(ctx, content)
}

// where names a source as the one who must mend it knows it.
func where(o Order) string {
	if o.Path != "" {
		return o.Path
	}
	return o.Name
}

func marksOf(days []weather.Day) (marks []weather.Mark) {
	for _, d := range days {
		if d.Mark != weather.Usable {
			marks = append(marks, d.Mark)
		}
	}
	return marks
}

// failed books that a source could not be used. What it said before stays.
func (j *Job) failed(ctx context.Context, o Order, h weather.Haul, cause error) error {
	h.Body, h.Days, h.Rejects = nil, nil, nil
	h.Error = strings.TrimPrefix(cause.Error(), where(o)+": ") // a fetch names its source too
	h.Error = where(o) + ": " + h.Error
	h.Source.Failures++
	h.RetryAt = h.At.Add(pause(o.Name, h.Source.Failures))
	var passing *Passing
	passes := errors.As(cause, &passing)
	if passes && passing.After.After(h.RetryAt) {
		h.RetryAt = passing.After.Add(spread(o.Name, h.Source.Failures, 5*time.Minute))
	}
	j.Logger.WarnContext(ctx, "a source could not be used", "source", o.Name, "failures", h.Source.Failures, "error", cause)
	if !passes || h.Source.Failures >= 3 { // one missed answer is no trouble yet
		subject := o.Name
		if misplaced := (*Misplaced)(nil); o.Provider != "" && !errors.As(cause, &misplaced) {
			subject = o.Provider
		}
		if err := j.Trouble(ctx, subject, h.Error); err != nil {
			return err
		}
	}
	return j.Memory.StoreHaul(ctx, o.Piece, h)
}

// pause is how long a source that failed so many times in a row is left alone:
// doubled each time up to three hours, and up to a quarter more, so that
// sources that failed together don't come back together.
func pause(source string, failures int) time.Duration {
	wait := min(time.Duration(1<<min(failures, 6))*5*time.Minute, 3*time.Hour)
	return wait + spread(source, failures, wait/4)
}

// spread gives a time below most that differs by source and by try, and is the
// same whenever it is asked for.
func spread(source string, try int, most time.Duration) time.Duration {
	h := fnv.New64a()
	fmt.Fprintf(h, "%s %d", source, try)
	return (time.Duration(h.Sum64()%1024) * most / 1024).Truncate(time.Second)
}
