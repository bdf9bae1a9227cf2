package advance_test

import (
	"context"
	"testing"
	"time"

	"budcall/internal/advance"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/ensemble"
	"budcall/internal/weather"
)

// seer is a memory that knows past forecasts, each so many K too warm.
type seer struct {
	*memory
	missK float64
	days  int // of issue
}

func (s seer) Foretold(_ context.Context, _ config.Site, issued civil.Range) (came []ensemble.Came, err error) {
	for i := range s.days {
		for lead := range civil.Date(10) {
			d := issued.First + civil.Date(i) + lead
			came = append(came, ensemble.Came{Issued: issued.First + civil.Date(i), Date: d, ForecastC: springDay(d, float64(d.Year()%3-1)).MeanC + s.missK})
		}
	}
	return came, s.fail
}

// Forecasts that have missed by much draw less than those that have missed by
// little; with too few that were compared the assumption stands.
func TestTheErrorOfForecastsIsLearned(t *testing.T) {
	p50 := func(missK float64, days int) civil.Date {
		b := newBench(t)
		b.task.Site.Forecast = "skies"
		b.memory.days["NEAR"] = series(today-1, 1)
		b.memory.issuedAt = b.task.Now.Add(-time.Hour)
		for d := today; d < today+10; d++ {
			b.memory.outlook = append(b.memory.outlook, weather.Day{Date: d, MinC: -2, MaxC: 2, MeanC: 0})
		}
		v, err := advance.Site(t.Context(), seer{b.memory, missK, days}, b.task)
		if err != nil {
			t.Fatal(err)
		}
		return item(t, v, call.BagOn).Why.P50
	}
	good, bad, assumed := p50(0.2, 100), p50(12, 100), p50(12, 0)
	if few := p50(12, 29); few != assumed {
		t.Errorf("29 days compared move bud break from %s to %s", assumed, few)
	}
	if !(good > bad) || bad > assumed {
		t.Errorf("a cold forecast: bud break %s where forecasts were good, %s where bad, %s by assumption", good, bad, assumed)
	}
}
