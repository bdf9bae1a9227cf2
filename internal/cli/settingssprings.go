package cli

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"maps"
	"slices"
	"sync"
	"time"

	"budcall/internal/app"
	"budcall/internal/notice"
	"budcall/internal/rehearse"
	"budcall/internal/season"
)

// springMargin is how much of the time that is left a preview keeps for itself.
const springMargin = 300 * time.Millisecond

// springPlayer plays past springs, and remembers what came of them: whoever looks
// for a good setting proposes several, and looks again.
type springPlayer struct {
	lock  sync.Mutex
	known map[[32]byte]notice.SpringSum
}

// springsKnown bounds what is remembered; beyond it all is forgotten.
const springsKnown = 5000

func newSpringPlayer() *springPlayer {
	return &springPlayer{known: map[[32]byte]notice.SpringSum{}}
}

// replay plays past springs of a site with its settings as they are and as they
// would be: real temperatures of its station, hidden true stages drawn from the
// profile, simulated people; the same ones for both. The newest spring comes
// first, and it ends when the time does.
func (p *springPlayer) replay(ctx context.Context, ask app.SpringsAsk) (out notice.Springs, err error) {
	trial, err := springTrial(ask)
	if err != nil {
		return notice.Springs{Unfit: true}, err
	}
	if len(trial.Seasons) == 0 {
		return notice.Springs{Unfit: true}, nil
	}
	game := springGame{player: p, trial: trial, ask: ask, data: fingerprintOf(ask)}
	longest := time.Duration(0)
	for _, s := range slices.Backward(trial.Seasons) {
		if out.Played == ask.Most {
			return out, nil
		}
		began := time.Now()
		if end, limited := ctx.Deadline(); limited && time.Until(end) < longest+springMargin {
			out.Late = true
			return out, nil
		}
		before, after, err := game.both(ctx, s)
		switch {
		case errors.Is(err, context.DeadlineExceeded) || errors.Is(err, context.Canceled):
			out.Late = true
			return out, nil
		case err != nil:
			return notice.Springs{Unfit: true}, err
		}
		out.Played++
		out.Before, out.After = plus(out.Before, before), plus(out.After, after)
		longest = max(longest, time.Since(began))
	}
	return out, nil
}

// fingerprintOf tells apart all that plays hang on but the spring and the
// settings of the calls.
func fingerprintOf(ask app.SpringsAsk) [32]byte {
	h := sha256.New()
	fmt.Fprintf(h, "%+v %s %g %g %d %t\n", ask.Profile, ask.Station.Code, ask.Station.LatDeg, ask.Site.AltitudeM-ask.Station.AltitudeM, ask.Trees, ask.Site.Forecast == "")
	for _, y := range slices.Sorted(maps.Keys(ask.MeansC)) {
		fmt.Fprintf(h, "%d %v\n", y, ask.MeansC[y])
	}
	return [32]byte(h.Sum(nil))
}

// springTrial draws the hidden springs of a site: those with enough earlier
// years to be forecast from.
func springTrial(ask app.SpringsAsk) (*rehearse.Trial, error) {
	stages, err := rehearse.StagesOf(ask.Profile)
	if err != nil {
		return nil, err
	}
	set := rehearse.Usual(stages)
	set.Trees = max(1, ask.Trees)
	set.TreesAboveM = ask.Site.AltitudeM - ask.Station.AltitudeM
	var years []int
	for y := range ask.MeansC {
		years = append(years, y)
	}
	if len(years) == 0 {
		return nil, errors.New("the station has no past year")
	}
	slices.Sort(years)
	from := max(years[0], years[len(years)-1]-ask.Most+1)
	trial, err := rehearse.NewTrial(set, []rehearse.Station{{Name: ask.Station.Code, LatitudeDeg: ask.Station.LatDeg, Means: ask.MeansC}}, from, years[len(years)-1])
	if err != nil {
		return nil, err
	}
	trial.NeedPast(rehearse.FewestPastYears)
	return trial, nil
}

// springGame is the springs of one site.
type springGame struct {
	player *springPlayer
	trial  *rehearse.Trial
	ask    app.SpringsAsk
	data   [32]byte
}

// both plays one spring with either settings, beside each other.
func (g springGame) both(ctx context.Context, s *rehearse.Season) (before, after notice.SpringSum, err error) {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	type result struct {
		sum notice.SpringSum
		err error
	}
	first := make(chan result, 1)
	go func() {
		sum, err := g.one(ctx, s, g.ask.Site.Settings)
		first <- result{sum, err}
	}()
	after, err = g.one(ctx, s, g.ask.After)
	if err != nil {
		stop()
	}
	r := <-first
	return r.sum, after, errors.Join(err, r.err)
}

// one plays one spring with some settings, or remembers what came of it.
func (g springGame) one(ctx context.Context, s *rehearse.Season, settings season.Settings) (sum notice.SpringSum, err error) {
	key := sha256.Sum256(fmt.Appendf(nil, "%x %d %+v", g.data, s.Year, settings))
	g.player.lock.Lock()
	sum, known := g.player.known[key]
	g.player.lock.Unlock()
	if known {
		return sum, nil
	}
	o := rehearse.Ours{Profile: g.ask.Profile, Settings: settings, WithoutForecast: g.ask.Site.Forecast == ""}
	stories, err := g.trial.Ours(ctx, o, []*rehearse.Season{s}, 1, false, nil)
	if err != nil {
		return sum, err
	}
	played := stories[s].Played
	sum.Trips = played.TripsBag + played.TripsOff + played.TripsPick
	for i, done := range played.Trees {
		if rehearse.Judge(s.Tree(i), done, g.trial.Settings.Limits).Lost {
			sum.Missed++
		}
	}
	g.player.lock.Lock()
	defer g.player.lock.Unlock()
	if len(g.player.known) >= springsKnown {
		clear(g.player.known)
	}
	g.player.known[key] = sum
	return sum, nil
}

func plus(a, b notice.SpringSum) notice.SpringSum {
	return notice.SpringSum{Trips: a.Trips + b.Trips, Missed: a.Missed + b.Missed}
}
