package replay

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"time"

	"budcall/internal/app"
	"budcall/internal/call"
	"budcall/internal/postgres"
	"budcall/internal/season"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

// siteYear is a season of a site.
type siteYear struct {
	site string
	year int
}

// memory is what the running program keeps in PostgreSQL, for as long as a
// season is played: it does what package postgres does, and nothing of it
// outlives the season. Whatever is stored there in a form of its own, such as
// past years, is read back here as from there.
type memory struct {
	runs
	sky
	tray
	now      time.Time
	calls    map[siteYear]map[call.Task]season.State
	reports  map[siteYear][]trail.Report
	reported int64 // reports so far
	pastMark pastMark
	troubles map[string]*trouble
	archive
	outlook func(ctx context.Context, site string, at time.Time) ([]weather.Day, time.Time, error)
}

func newMemory(o Options) *memory {
	m := &memory{
		runs: newRuns(), sky: newSky(o.Series), tray: newTray(o.OnTold), now: o.From.UTC(),
		calls: map[siteYear]map[call.Task]season.State{}, reports: map[siteYear][]trail.Report{},
		troubles: map[string]*trouble{}, archive: newArchive(o.Keep), outlook: o.Outlook,
	}
	for _, r := range o.Past {
		m.reported++
		r.ID = m.reported
		of := siteYear{r.Site, r.Day.Year()}
		m.reports[of] = append(m.reports[of], r)
	}
	return m
}

// report stores what somebody said at one go, and gives a key for it.
func (m *memory) report(year int, reports []trail.Report) string {
	of := siteYear{reports[0].Site, year}
	for _, r := range reports {
		m.reported++
		r.ID, r.At = m.reported, m.now
		m.reports[of] = append(m.reports[of], r)
	}
	return fmt.Sprintf("replay-%d", m.reported)
}

// QueueLetters has nothing to do: a letter arrives as soon as it is written.
func (m *memory) QueueLetters(context.Context, time.Time) (int, error) { return 0, nil }

// NextLetter gives no moment: no letter is ever tried again.
func (m *memory) NextLetter(context.Context) (time.Time, error) { return time.Time{}, nil }

// AnswersDue lists the sites of which an answer is overdue at at.
func (m *memory) AnswersDue(_ context.Context, at time.Time) ([]string, error) {
	var due []string
	for of, calls := range m.calls {
		for _, s := range calls {
			if !s.AnswerBy.IsZero() && !s.AnswerBy.After(at) && !slices.Contains(due, of.site) {
				due = append(due, of.site)
			}
		}
	}
	slices.Sort(due)
	return due, nil
}

// NextAnswer gives the next moment at which an answer becomes overdue; zero
// where none is waited for.
func (m *memory) NextAnswer(context.Context) (next time.Time, err error) {
	for _, calls := range m.calls {
		for _, s := range calls {
			next = earlier(next, s.AnswerBy)
		}
	}
	return next.UTC(), nil
}

// earlier gives the earlier of two moments, of which either may be none.
func earlier(a, b time.Time) time.Time {
	if b.IsZero() || !a.IsZero() && a.Before(b) {
		return a
	}
	return b
}

// Within settles a piece of a run; its sites need no locks here.
func (m *memory) Within(_ context.Context, piece int64, _ []string, f func(app.Book, postgres.Piece) (string, error)) error {
	return m.settle(piece, func(p postgres.Piece) error {
		_, err := f(m, p)
		return err
	})
}

// Outlook gives a site's newest short-range forecast that was issued by at.
func (m *memory) Outlook(ctx context.Context, site string, at time.Time) ([]weather.Day, time.Time, error) {
	if m.outlook == nil {
		return nil, time.Time{}, nil
	}
	days, issued, err := m.outlook(ctx, site, at)
	if err != nil || issued.After(at) {
		return nil, time.Time{}, err
	}
	return days, issued, nil
}

// Reports gives a season's reports and answers of a site, in the order in
// which they came.
func (m *memory) Reports(_ context.Context, site string, year int) ([]trail.Report, error) {
	return slices.Clip(m.reports[siteYear{site, year}]), nil
}

// Calls gives the calls of a site's season.
func (m *memory) Calls(_ context.Context, site string, year int) (map[call.Task]season.State, error) {
	return m.calls[siteYear{site, year}], nil
}

// PastReports gives the looks at stages in the seasons before a year, in the
// order in which they came.
func (m *memory) PastReports(_ context.Context, sites []string, before int) (past []trail.Report, err error) {
	for of, reports := range m.reports {
		if !slices.Contains(sites, of.site) {
			continue
		}
		if of.year >= before {
			continue
		}
		for _, r := range reports {
			if r.Kind == trail.StageSeen || r.Kind == trail.NotYet {
				past = append(past, r)
			}
		}
	}
	slices.SortFunc(past, func(a, b trail.Report) int { return cmp.Compare(a.ID, b.ID) })
	return past, nil
}

// pastMark is what PastReportsMark gave, and what that hung on.
type pastMark struct {
	known    bool
	reported int64
	before   int
	mark     string
}

// PastReportsMark changes whenever what PastReports gives does: it is a digest
// of it, so that seasons with the same past can share a Memo.
func (m *memory) PastReportsMark(ctx context.Context, before int) (string, error) {
	if p := m.pastMark; p.known && p.before == before && p.reported == m.reported {
		return p.mark, nil
	}
	var sites []string
	for of := range m.reports {
		sites = append(sites, of.site)
	}
	past, err := m.PastReports(ctx, sites, before)
	if err != nil {
		return "", err
	}
	mark := ""
	if len(past) > 0 {
		h := sha256.New()
		for _, r := range past {
			fmt.Fprintf(h, "%q %q %q %q %d %d %d %q\n", r.Site, r.Person, r.Kind, r.Tree, r.BBCH, r.Day, r.At.UnixMicro(), r.Way)
		}
		mark = hex.EncodeToString(h.Sum(nil))
	}
	m.pastMark = pastMark{true, m.reported, before, mark}
	return mark, nil
}

// Returned gives no mail: every letter arrives.
func (m *memory) Returned(context.Context, string, int) (map[call.Task]time.Time, error) {
	return nil, nil
}

// trouble is something that the ops person must look after.
type trouble struct {
	text       string
	told, over bool
}

func (m *memory) raise(subject, text string) {
	t := m.troubles[subject]
	if t == nil {
		t = &trouble{}
		m.troubles[subject] = t
	}
	if t.over {
		t.told, t.over = false, false
	}
	t.text = text
}

func (m *memory) over(subject string) {
	if t := m.troubles[subject]; t != nil {
		t.over = true
	}
}

// Raise notes a trouble, once per subject until it is over.
func (m *memory) Raise(_ context.Context, subject, text string, _ time.Time) error {
	m.raise(subject, text)
	return nil
}

// Over notes that a trouble is over.
func (m *memory) Over(_ context.Context, subject string, _ time.Time) error {
	m.over(subject)
	return nil
}

// untold gives the troubles that the ops person hasn't been told, sorted, and
// marks them as told.
func (m *memory) untold() (texts []string) {
	for _, t := range m.troubles {
		if !t.told && !t.over {
			t.told = true
			texts = append(texts, t.text)
		}
	}
	slices.Sort(texts)
	return texts
}

// standing gives the troubles that aren't over, sorted.
func (m *memory) standing() (texts []string) {
	for _, t := range m.troubles {
		if !t.over {
			texts = append(texts, t.text)
		}
	}
	slices.Sort(texts)
	return texts
}
