package pull_test

import (
	"context"
	"errors"
	"fmt"
	"testing"

	"budcall/internal/pull"
)

// Five sites have one forecast service: what ails it is one thing to look after.
func TestAProvidersTroubleIsToldOnceForAllThatAskIt(t *testing.T) {
	b := newBench()
	raised := 0
	b.Trouble = func(_ context.Context, subject, text string) error {
		if b.troubles[subject] == "" {
			raised++
		}
		b.troubles[subject] = text
		return nil
	}
	b.of("metno")
	b.order.Class, b.order.Options.Zone, b.order.Provider = "outlook", utc, "forecast:met"
	ask := func(site string) {
		b.order.Site, b.order.Name, b.order.Path, b.order.URL = site, "outlook:"+site, "", "https://weather.example/x"
		b.do(t)
	}
	good := fmt.Sprintf(`{"type":"Feature","geometry":{"type":"Point","coordinates":[25,60.3,51]},"properties":{"meta":{"updated_at":"2031-04-20T05:00:00Z","units":{"air_temperature":"celsius"}},"timeseries":[%s]}}`, steps("2031-04-20", 5, 5))
	sites := []string{"A", "B", "C", "D", "E"}
	b.says("<html>We are moving house</html>")
	for _, s := range sites {
		ask(s)
	}
	if raised != 1 || b.troubles["forecast:met"] == "" || len(b.troubles) != 1 {
		t.Errorf("raised %d times: %v", raised, b.troubles)
	}
	b.says(good)
	for _, s := range sites {
		if ask(s); len(b.troubles) != 0 {
			t.Errorf("mended, and still told: %v", b.troubles)
		}
	}
	// One of them alone fails: the others' answers don't end what is told of it.
	b.says("<html>")
	ask("A")
	b.says(good)
	if ask("B"); len(b.troubles) != 1 || raised != 2 {
		t.Errorf("raised %d times: %v", raised, b.troubles)
	}
	// Outside the area covered is a site's own trouble.
	b.provider.answer = func(pull.Asking) (pull.Answer, error) {
		return pull.Answer{}, &pull.Misplaced{Err: errors.New("outside the area")}
	}
	if ask("C"); b.troubles["outlook:C"] == "" || b.troubles["forecast:met"] == "" {
		t.Errorf("told %v", b.troubles)
	}
}
