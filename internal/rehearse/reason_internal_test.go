package rehearse

import (
	"math"
	"strings"
	"testing"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
)

// on is a day of the year of the stories told here.
func on(month time.Month, d int) civil.Date { return civil.Of(2004, month, d) }

// oneTree is a season of one tree, with nothing remarkable in its weather.
func oneTree(open, flowers, bagged civil.Date) badSeason {
	return badSeason{
		trees:  []Tree{{Reached: map[int]civil.Date{BudBreak: open, Flowering: flowers}}},
		limits: Limits{MaxLeadDays: 28, MaxOnDays: 21}, weigh: 3,
		story:   Story{Played: Played{Trees: []Done{{Bagged: bagged}}}},
		missing: func(civil.Date) int { return 0 },
		odd:     func(_, _ civil.Date) float64 { return 0 },
	}
}

// bagAsk is that somebody was asked, at 17:00, to put bags on.
func bagAsk(at, first, last, best civil.Date) Telling {
	return Telling{At: at.In(time.UTC, 17, 0), To: Lead, Item: notice.Item{
		Task: call.BagOn, Standing: call.Go, Days: civil.Range{First: first, Last: last}, Best: best,
	}}
}

func TestReasons(t *testing.T) {
	const may, april = time.May, time.April
	buds := Issue{On: on(april, 24), Code: BudBreak, P10: on(april, 28), P50: on(may, 4), P90: on(may, 12)}
	lateBuds := Issue{On: on(april, 24), Code: BudBreak, P10: on(may, 6), P50: on(may, 12), P90: on(may, 20)}
	flowers := Issue{On: on(april, 18), Code: Flowering, P10: on(may, 6), P50: on(may, 14), P90: on(may, 22)}
	wide := Issue{On: on(april, 18), Code: Flowering, P10: on(may, 6), P50: on(may, 14), P90: on(may, 28)}
	quiet := bagAsk(on(april, 10), on(april, 12), on(april, 20), on(april, 15))
	quiet.Item.Standing = call.Ahead
	for _, row := range []struct {
		what   string
		w      badSeason
		change func(*badSeason)
		want   string
	}{
		{"bags hung 34 days, and the forecast had allowed for it", oneTree(on(may, 8), on(may, 25), on(april, 21)), func(w *badSeason) {
			w.story.Told = []Telling{bagAsk(on(april, 18), on(april, 19), on(april, 25), on(april, 21))}
			w.story.Issues = []Issue{wide}
		}, "rule: bagged on 21 Apr, flowering came on 25 May, 34 days later; forecast of 18 Apr: flowering P10 6 May, P50 14 May, P90 28 May"},
		{"the same, and the forecast hadn't", oneTree(on(may, 8), on(may, 25), on(april, 21)), func(w *badSeason) {
			w.story.Told = []Telling{bagAsk(on(april, 18), on(april, 19), on(april, 25), on(april, 21))}
			w.story.Issues = []Issue{flowers}
		}, "model: flowering came above P90; bagged on 21 Apr, flowering came on 25 May, 34 days later; forecast of 18 Apr: flowering P10 6 May, P50 14 May, P90 22 May"},
		{"the same in a cold spell", oneTree(on(may, 8), on(may, 25), on(april, 21)), func(w *badSeason) {
			w.story.Issues = []Issue{flowers}
			w.odd = func(from, before civil.Date) float64 {
				if from != on(april, 21) || before != on(may, 25) {
					return math.NaN()
				}
				return -2.1
			}
		}, "weather: bagged on 21 Apr, flowering came on 25 May, 34 days later; in between it was 2.1 K colder than in other years; forecast of 18 Apr"},
		{"the same while the thermometer was silent", oneTree(on(may, 8), on(may, 25), on(april, 21)), func(w *badSeason) {
			w.story.Issues = []Issue{flowers}
			w.missing = func(civil.Date) int { return 7 }
		}, "weather: 7 of the 10 days before 21 Apr have no reading; bagged on 21 Apr"},
		{"the best day would have done, and they went before it", oneTree(on(may, 8), on(may, 25), on(april, 21)), func(w *badSeason) {
			w.story.Told = []Telling{bagAsk(on(april, 18), on(april, 19), on(may, 1), on(april, 29))}
			w.story.Issues = []Issue{wide}
		}, "people: bagged on 21 Apr, flowering came on 25 May, 34 days later; told on 18 Apr for 19 Apr to 1 May, best on 29 Apr, which would have been in time"},
		{"it never flowered", oneTree(on(may, 8), 0, on(april, 21)), func(w *badSeason) {
			w.story.Issues = []Issue{wide}
		}, "model: flowering came above P90; bagged on 21 Apr, no flowering by 31 October"},
		{"asked in time, and nobody was free", oneTree(on(may, 7), on(may, 20), on(may, 9)), func(w *badSeason) {
			w.story.Told = []Telling{quiet, bagAsk(on(may, 2), on(may, 3), on(may, 6), on(may, 4))}
			w.story.Issues = []Issue{buds}
		}, "people: asked on 2 May for 3 May to 6 May, nobody came before 9 May; bud break was on 7 May"},
		{"asked in time, and nobody came at all", oneTree(on(may, 7), on(may, 20), 0), func(w *badSeason) {
			w.story.Told = []Telling{bagAsk(on(may, 2), on(may, 3), on(may, 6), on(may, 4))}
		}, "people: asked on 2 May for 3 May to 6 May, and nobody came; bud break was on 7 May"},
		{"told ahead and never asked, with bud break below P10", oneTree(on(may, 1), on(may, 20), on(may, 3)), func(w *badSeason) {
			w.story.Told = []Telling{quiet}
			w.story.Issues = []Issue{lateBuds}
		}, "model: bud break came below P10 of the forecast of the week before; bud break was on 1 May, nobody was asked before; forecast of 24 Apr: bud break P10 6 May, P50 12 May, P90 20 May"},
		{"the same after a hot week", oneTree(on(may, 1), on(may, 20), on(may, 3)), func(w *badSeason) {
			w.story.Issues = []Issue{lateBuds}
			w.odd = func(from, before civil.Date) float64 { return float64(before - from) }
		}, "weather: the week before bud break was 7.0 K warmer than in other years; bud break was on 1 May, nobody was asked before"},
		{"the same without readings", oneTree(on(may, 1), on(may, 20), on(may, 3)), func(w *badSeason) {
			w.story.Issues = []Issue{lateBuds}
			w.missing = func(civil.Date) int { return 5 }
		}, "weather: 5 of the 10 days before 1 May have no reading; bud break was on 1 May"},
		{"asked the evening before, within the forecast", oneTree(on(may, 1), on(may, 20), on(may, 3)), func(w *badSeason) {
			w.story.Told = []Telling{bagAsk(on(april, 30), on(may, 1), on(may, 5), on(may, 2))}
			w.story.Issues = []Issue{buds}
		}, "rule: bud break was on 1 May, asked only on 30 Apr; forecast of 24 Apr: bud break P10 28 Apr, P50 4 May, P90 12 May"},
		{"the days told reached beyond bud break", oneTree(on(may, 1), on(may, 20), on(may, 3)), func(w *badSeason) {
			w.story.Told = []Telling{bagAsk(on(april, 26), on(april, 27), on(may, 5), on(may, 2))}
			w.story.Issues = []Issue{buds}
		}, "rule: bud break was on 1 May, asked on 26 Apr for days up to 5 May, and bags came on 3 May; forecast of 24 Apr"},
		{"left for a second trip", oneTree(on(may, 1), on(may, 20), on(may, 3)), func(w *badSeason) {
			w.story.Told = []Telling{bagAsk(on(april, 20), on(april, 21), on(april, 25), on(april, 22))}
			w.story.Trips = []Trip{{Day: on(april, 22), By: Lead}, {Day: on(may, 3), By: Lead}}
			w.story.Tasks = []call.Task{call.BagOn, call.BagOn}
			w.story.Issues = []Issue{buds}
		}, "rule: on 22 Apr the tree was left for a second trip; bud break was on 1 May, and bags came on 3 May"},
		{"no forecast at all", oneTree(on(may, 1), on(may, 20), on(may, 3)), func(*badSeason) {}, "rule: bud break was on 1 May, nobody was asked before; no forecast of bud break had been made a week before"},
		{"two bagged early weigh less than one lost", oneTree(on(may, 1), on(may, 20), on(may, 3)), func(w *badSeason) {
			for range 2 {
				w.trees = append(w.trees, Tree{Reached: map[int]civil.Date{BudBreak: on(may, 8), Flowering: on(may, 25)}})
				w.story.Trees = append(w.story.Trees, Done{Bagged: on(april, 21)})
			}
		}, "rule: bud break was on 1 May"},
		{"four bagged early weigh more", oneTree(on(may, 1), on(may, 20), on(may, 3)), func(w *badSeason) {
			for i := range 4 {
				w.trees = append(w.trees, Tree{Reached: map[int]civil.Date{BudBreak: on(may, 8), Flowering: on(may, 24+i)}})
				w.story.Trees = append(w.story.Trees, Done{Bagged: on(april, 21)})
			}
		}, "rule: bagged on 21 Apr, flowering came on 25 May, 34 days later"},
		{"all in time", oneTree(on(may, 8), on(may, 10), on(april, 21)), func(*badSeason) {}, "nothing was lost"},
	} {
		w := row.w
		row.change(&w)
		if got := reason(w); !strings.HasPrefix(got, row.want) {
			t.Errorf("%s:\n%s\nwant\n%s", row.what, got, row.want)
		}
	}
}

func TestWhatWeatherAReasonSees(t *testing.T) {
	nan := math.NaN()
	if got := missing([]float64{nan, nan, 1, nan, 2}, 4); got != 2 {
		t.Errorf("%d of the last four are missing, want 2", got)
	}
	if got := missing(nil, 4); got != 0 {
		t.Errorf("%d missing of none", got)
	}
	// By hand: days 1 and 3 are known in both, 2 and 4 K warmer; day 2 isn't.
	if got := departure([]float64{9, 3, nan, 5, 9}, []float64{0, 1, 1, 1, 0}, 1, 4); got != 3 {
		t.Errorf("%g K, want 3", got)
	}
	if got := departure(nil, nil, 1, 4); !math.IsNaN(got) {
		t.Errorf("%g K of nothing", got)
	}
}
