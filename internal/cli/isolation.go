package cli

import (
	"context"
	"flag"
	"fmt"
	"math"
	"strconv"

	"budcall/internal/app"
	"budcall/internal/trail"
	"budcall/internal/words"
)

var isolationCommand = command{
	name:    "isolation",
	purpose: "check for each tree how much of its selfing seed foreign pollen can have made",
	text: "Filled seed per catkin in control bags over that in selfing bags bounds the part of the selfing seed that foreign pollen can have made, from above: the tree's own pollen can leak into a control bag too. " +
		"Intervals hold 19 times in 20 (95 %): exact for a ratio of two counts (conditional binomial), on one side where nothing was counted. " +
		"It needs `budcall lab filled` with --catkins for both lots of a tree.",
	example: "budcall isolation\nbudcall isolation --season 2030 --site KOLMI --json",
	define:  defineIsolation,
}

func defineIsolation(f *flag.FlagSet) action {
	var o ofSeason
	o.define(f)
	site := f.String("site", "", "only the trees of the site with this `CODE`")
	return func(ctx context.Context, _ []string, s Streams) error {
		if err := o.check(); err != nil {
			return err
		}
		return o.with(ctx, func(b *app.Beside) error {
			if err := b.KnowsSite(*site); err != nil {
				return err
			}
			t, err := b.Trail(ctx, o.season)
			if err != nil {
				return err
			}
			list := []trail.Isolation{}
			for _, i := range t.Isolations() {
				if *site == "" || i.Site == *site {
					list = append(list, i)
				}
			}
			if o.machine {
				return asJSON(s.Out, map[string]any{"season": t.Season, "trees": list})
			}
			return table(s.Out, isolationRows(t, list))
		})
	}
}

func isolationRows(t app.Followed, list []trail.Isolation) [][]string {
	if len(list) == 0 {
		return [][]string{{fmt.Sprintf("no seed was reported picked or received in season %d, so there is nothing to check", t.Season)}}
	}
	rows := [][]string{{"tree", "selfing: filled", "per catkin", "control: filled", "per catkin", "ratio (95 %)", "what it says"}}
	for _, i := range list {
		rows = append(rows, []string{
			fmt.Sprintf("%s at %s", trail.WithCheck(i.Tree), i.Site), triedText(i.Selfing), rateText(i.Selfing), triedText(i.Control), rateText(i.Control), ratioText(i.Ratio), words.For("en").Isolation(i),
		})
	}
	return rows
}

func triedText(t *trail.Tried) string {
	if t == nil || t.Filled.Of == 0 {
		return "–"
	}
	return share(t.Filled)
}

func rateText(t *trail.Tried) string {
	if t == nil || t.Catkins == 0 {
		return "–"
	}
	return fmt.Sprintf("%d/%d = %.2g", t.Counted, t.Catkins, t.Rate)
}

// limitText writes a limit of an interval with two digits, rounded outwards as
// the words beside it are: 0.1606 is 0.17, as "at most 17 %".
func limitText(x float64, round func(float64) float64) string {
	if x <= 0 {
		return "0"
	}
	step := math.Pow(10, math.Floor(math.Log10(x))-1)
	if step == 0 {
		return fmt.Sprintf("%.2g", x)
	}
	n := x / step
	if whole := math.Round(n); math.Abs(n-whole) < 1e-9 {
		n = whole
	}
	return strconv.FormatFloat(round(n)*step, 'g', 2, 64)
}

func ratioText(r *trail.Ratio) string {
	switch {
	case r == nil:
		return "–"
	case r.OneSided:
		return "0, below " + limitText(r.High, math.Ceil)
	}
	return fmt.Sprintf("%.2g, %s to %s", r.Estimate, limitText(r.Low, math.Floor), limitText(r.High, math.Ceil))
}
