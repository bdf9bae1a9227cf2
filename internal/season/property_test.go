package season_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"runtime/debug"
	"slices"
	"strconv"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/season"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

// fewer divides the number of seasons.
var fewer = 1

// TestRandomSeasons plays random seasons as the program would: twice a day
// with weather, in the evening, at once after each report and at each moment
// at which the time for an answer is over; and holds each decision to the
// rules. BUDCALL_SEASONS says how many seasons.
func TestRandomSeasons(t *testing.T) {
	n := 10_000
	if all, err := strconv.Atoi(os.Getenv("BUDCALL_SEASONS")); err == nil && all > 0 {
		n = all
	}
	if testing.Short() {
		n = min(n, 500)
	}
	n /= fewer
	const parts = 2 // one a core
	setFlag(t, "rapid.checks", strconv.Itoa(max(1, n/parts)))
	setFlag(t, "rapid.nofailfile", "true") // the seed that is printed is enough
	defer debug.SetGCPercent(debug.SetGCPercent(400))
	t.Run("", func(t *testing.T) { // returns when both parts have
		for range parts {
			t.Run("part", func(t *testing.T) {
				t.Parallel()
				rapid.Check(t, func(t *rapid.T) { newPlayer(t, drawSeason(t)).play() })
			})
		}
	})
}

// setFlag sets a flag of rapid for one test.
func setFlag(t *testing.T, name, value string) {
	t.Helper()
	was := flag.Lookup(name).Value.String()
	if err := flag.Set(name, value); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = flag.Set(name, was) })
}

// player plays a random season.
type player struct {
	t       *rapid.T
	season  randomSeason
	watcher *watcher
	facts   season.Facts
	stale   bool // the forecast must be issued anew
}

func newPlayer(t *rapid.T, r randomSeason) *player {
	return &player{t: t, season: r, watcher: newWatcher(), stale: true, facts: season.Facts{
		Site: r.site, Calls: map[call.Task]season.State{}, Returned: map[call.Task]time.Time{},
	}}
}

func (p *player) play() {
	for i, draw := range p.season.days {
		day := firstDay + civil.Date(i)
		d := rand.New(rand.NewPCG(draw, 1))
		p.until(day.In(zone, 6, 10))
		if draw != 0 {
			p.season.drift(d)
			p.blow(d, day)
			p.stale = true
		}
		p.decide(day.In(zone, 6, 10), false)
		if draw != 0 {
			p.somebody(d, day.In(zone, 7+d.IntN(8), d.IntN(60)))
		}
		if draw != 0 && d.IntN(4) == 0 {
			p.until(day.In(zone, 15, 10))
			p.season.drift(d)
			p.stale = true
			p.decide(day.In(zone, 15, 10), false)
		}
		p.until(day.In(zone, 17, 0))
		p.decide(day.In(zone, 17, 0), true)
		if draw != 0 && d.IntN(3) == 0 {
			p.somebody(d, day.In(zone, 18+d.IntN(5), d.IntN(60)))
		}
	}
}

// blow adds a day's wind, strong now and then, and lets the station fall silent
// or speak again.
func (p *player) blow(d *rand.Rand, day civil.Date) {
	w := weather.Wind{Date: day, MeanMS: 4, MaxMS: math.NaN(), GustMS: 12}
	if d.IntN(8) == 0 {
		w.GustMS = 24
	}
	p.facts.Winds = append(p.facts.Winds, w)
	if d.IntN(10) == 0 {
		p.facts.Blind = !p.facts.Blind
	}
}

// somebody lets a person report or answer, or a mail come back, and decides.
func (p *player) somebody(d *rand.Rand, at time.Time) {
	p.until(at)
	said := p.season.says(d, civil.At(at))
	for _, r := range said {
		r.At, r.ID = at, int64(len(p.facts.Reports)+1)
		p.facts.Reports = append(p.facts.Reports, r)
		p.stale = p.stale || r.BBCH != 0
	}
	returned := d.IntN(25) == 0
	if returned {
		p.facts.Returned[call.Tasks[d.IntN(len(call.Tasks))]] = at
	}
	if len(said) > 0 || returned {
		p.watcher.news++
		p.decide(at, false)
	}
}

// until decides at each moment before at at which the time for an answer is over.
func (p *player) until(at time.Time) {
	for {
		var next time.Time
		for _, s := range p.facts.Calls {
			if !s.AnswerBy.IsZero() && s.AnswerBy.Before(at) && (next.IsZero() || s.AnswerBy.Before(next)) {
				next = s.AnswerBy
			}
		}
		if next.IsZero() {
			return
		}
		p.decide(next, false)
	}
}

func (p *player) decide(at time.Time, evening bool) {
	at = at.In(zone)
	p.facts.Day, p.facts.Now, p.facts.Evening = civil.At(at), at, evening
	if p.stale {
		p.facts.Forecast, p.stale = issued(p.season.forecast(), p.facts.Reports), false
	}
	out := season.Decide(p.facts)
	again := p.facts
	again.Calls = out.Calls
	twice := season.Decide(again)
	for _, task := range call.Tasks {
		if !reflect.DeepEqual(twice.Calls[task], out.Calls[task]) {
			p.t.Fatalf("%s: %s, before\n%+v, decided\n%+v, and again\n%+v\nowed %+v, and then %+v\nof %+v, answers %+v", at, task, p.facts.Calls[task], out.Calls[task], twice.Calls[task],
				out.Owed, twice.Owed, p.facts.Site.Field, slices.DeleteFunc(slices.Clone(p.facts.Reports), func(r trail.Report) bool { return !r.Kind.Answer() }))
		}
	}
	if len(twice.Owed) > 0 {
		p.t.Fatalf("%s: deciding again owes %+v", at, twice.Owed)
	}
	for _, fault := range p.watcher.watch(p.facts, out) {
		p.t.Errorf("%s: %s", at.Format("2006-01-02 15:04"), fault)
	}
	if p.t.Failed() {
		p.t.Fatalf("site %+v\nreports %+v\nbefore %+v\nowed %+v", p.facts.Site, p.facts.Reports, p.facts.Calls, out.Owed)
	}
	p.facts.Calls = out.Calls
}

// since tells whether anything was said of a task after a moment.
func since(reports []trail.Report, at time.Time, is func(trail.Report) bool) bool {
	for i := len(reports) - 1; i >= 0 && reports[i].At.After(at); i-- {
		if is(reports[i]) {
			return true
		}
	}
	return false
}
