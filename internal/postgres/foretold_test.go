package postgres

import (
	"fmt"
	"math"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/weather"
)

// Of two outlooks issued on a day at the site the later one counts, and no day
// before its issue nor more than nine days after.
func TestWhatWasForetold(t *testing.T) {
	zone, err := time.LoadLocation("Etc/GMT-3")
	must(t, err)
	db := memory(t)
	may := civil.Of(2031, 5, 3)
	for i, at := range []time.Time{
		may.In(time.UTC, 3, 0), may.In(time.UTC, 12, 0),
		may.In(time.UTC, 22, 0), // 01:00 of the next day at the site
	} {
		run := begun(t, db, plan("pull", fmt.Sprint(i), map[Phase][]string{Pull: {"outlook:HOME"}}))
		h := weather.Haul{Source: weather.Source{Name: "outlook:HOME", Class: "outlook"}, At: at, OpenYear: 2031, Outlook: "HOME", IssuedAt: at}
		for d := may - 1; d < may+12; d++ {
			h.Days = append(h.Days, weather.Day{Date: d, MinC: math.NaN(), MaxC: math.NaN(), MeanC: float64(4 + i)})
		}
		must(t, db.StoreHaul(t.Context(), piece(t, db, run, Pull, "outlook:HOME"), h))
	}
	must(t, db.Read(t.Context(), func(b *Book) error {
		came, err := b.Foretold(t.Context(), config.Site{Code: "HOME", Zone: zone}, civil.Range{First: may, Last: may})
		for i, c := range came {
			if c.Issued != may || c.Date != may+civil.Date(i) || c.ForecastC != 5 {
				t.Errorf("%d: %+v", i, c)
			}
		}
		if len(came) != 10 {
			t.Errorf("%d days", len(came))
		}
		return err
	}))
}
