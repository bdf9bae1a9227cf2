package app

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"slices"
	"time"

	"budcall/internal/civil"
	"budcall/internal/pull"
)

// BackFill says which past is wanted, of a station or of every station of a site.
type BackFill struct {
	Station, Site string     // one of them
	Since         civil.Date // the first day wanted; zero: Years says it
	Years         int        // as many whole years before the running one
	Again         bool       // parts that were fetched before are fetched anew
	Dir           string     // of the configuration, to which files of keys are relative
	Version       string     // of the program, which providers are told
	Logger        *slog.Logger
	Done          func(Part) // is told of each part once it is done; may be nil
}

// Part is how one part of a station's past was fetched.
type Part struct {
	Station    string
	Of, Number int         // such as part 3 of 12
	Days       civil.Range // the first is no day where the answer goes back as far as there is anything
	Before     time.Time   // when it was fetched; zero: now
	Stored     int         // days
	Rejected   int         // lines
	Trouble    string      // what is wrong with the content, though it was stored
	Nothing    bool        // the provider says that it has nothing there: Err says so too
	Err        error       // nothing was stored, and the next part was tried
}

// Filled is what came of a back-fill.
type Filled struct {
	Parts   []Part
	Wanted  int       // parts, those included that were not come to
	Stored  int       // days
	Nothing int       // parts of which the provider says that it has nothing
	Failed  int       // parts that stay to be fetched
	LeftOut []LeftOut // stations of the site that have no past to fetch
}

// LeftOut is a station that wasn't asked, and why.
type LeftOut struct {
	Station string
	Why     error
}

// BackFill fetches the past of a station, or of all of a site's, from its
// provider, part by part, through the same job as every day's pull, and stores
// it beside a program that may be running. A part that gives nothing is told
// and doesn't hold back the next; a provider that wants to be left alone is,
// with all of its stations, while the others' go on. Whoever asks again goes on
// where it ended.
func (b *Beside) BackFill(ctx context.Context, o BackFill) (filled Filled, err error) {
	now, err := b.clock.now(ctx)
	if err != nil {
		return filled, err
	}
	parts, leftOut, err := b.partsWanted(o, civil.At(now.In(b.programme.Zone)))
	filled.LeftOut = leftOut
	if err != nil {
		return filled, err
	}
	f := filler{b: b, o: o, now: now}
	if f.fetcher, err = newFetcher(o.Version, contact(b.programme), b.clock, &secrets{dir: o.Dir}, o.Logger); err != nil {
		return filled, err
	}
	filled.Wanted = len(parts)
	leftAlone := map[string]error{} // by provider
	for i, part := range parts {
		if leftAlone[part.provider()] != nil {
			continue
		}
		p, err := f.part(ctx, part)
		if ctx.Err() != nil {
			return filled, filled.stopped(part)
		}
		if err != nil {
			return filled, err
		}
		p.Of, p.Number = len(parts), i+1
		filled.add(p)
		if o.Done != nil {
			o.Done(p)
		}
		if passing := (*pull.Passing)(nil); errors.As(p.Err, &passing) {
			leftAlone[part.provider()] = comeBack(p, passing)
		}
	}
	return filled, errors.Join(joined(leftAlone), f.rememberNothing(ctx, filled))
}

// joined puts errors together, in the order of their keys.
func joined(byName map[string]error) error {
	var all []error
	for _, name := range slices.Sorted(maps.Keys(byName)) {
		all = append(all, byName[name])
	}
	return errors.Join(all...)
}

func (f *Filled) add(p Part) {
	f.Parts = append(f.Parts, p)
	f.Stored += p.Stored
	switch {
	case p.Nothing:
		f.Nothing++
	case p.Err != nil:
		f.Failed++
	}
}

// stopped says what a back-fill that is told to stop before a part has done.
func (f Filled) stopped(before stationPart) error {
	stored := 0
	for _, p := range f.Parts {
		if p.Err == nil {
			stored++
		}
	}
	from := "its first part"
	if first := before.past.Days.First; !first.IsZero() {
		from = first.String()
	}
	return fmt.Errorf("stopped: what came is stored, %d days, and %d of %d parts are had; %d are left, from %s of station %s on (give the same command: it goes on from there)",
		f.Stored, stored, f.Wanted, f.Wanted-len(f.Parts), from, before.station.Code)
}

// comeBack says that the rest must wait.
func comeBack(p Part, passing *pull.Passing) error {
	when := "later"
	if !passing.After.IsZero() {
		when = "after " + passing.After.UTC().Format(time.RFC3339)
	}
	return fmt.Errorf("part %d of %d: %w (give the same command %s: it goes on from here)", p.Number, p.Of, p.Err, when)
}
