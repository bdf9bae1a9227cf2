package app_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/civil"
	"budcall/internal/postgres"
)

// A season of an invented station, from the middle of April to a day in June:
// planning, kit, bagging reported on 9 May, taking off.
const (
	seasonFrom = "2016-04-10"
	bagsOn     = "2016-05-09"
	seasonTo   = "2016-06-08"
)

// No forecast, standing or mail may depend on anything later than its day: the
// season is played on the true file, and on two in which everything from the
// last day on is nonsense. No forecast service answers.
func TestNothingThatWasIssuedDependsOnTheFuture(t *testing.T) {
	day := civil.MustParse(seasonTo)
	past := inventedStation(day)
	var hot, garbage strings.Builder
	for d := day; d < day+120; d++ {
		fmt.Fprintf(&hot, "%s,38.0,42.0,40.0\n", d)
		fmt.Fprintf(&garbage, "%s,%.1f,-%.1f,99\n", d, 30.0, 30.0)
		if d%3 == 0 {
			fmt.Fprintf(&garbage, "%s;;x\n\x01\n", d)
		}
	}
	want := ""
	for i, future := range []string{inventedStation(day + 120)[len(past):], hot.String(), garbage.String()} {
		p := begin(t, seasonFrom, past+future, hook(t))
		until(t, p.App, bagsOn)
		p.bagAll(t)
		until(t, p.App, seasonTo)
		got := p.said(t, true)
		if i == 0 {
			want = got
			seasonIsWorthComparing(t, got)
			continue
		}
		alike(t, []string{"", "with 40 °C from the day on", "with garbage from the day on"}[i], want, got)
	}
}

// seasonIsWorthComparing guards against two seasons being equal because
// nothing happened in them.
func seasonIsWorthComparing(t *testing.T, said string) {
	t.Helper()
	for _, part := range []string{"letter mail otso", "letter mail maia", "letter webhook lab", "change HOME bag on", "change HOME take off", "reading MET 2016-06-07"} {
		if !strings.Contains(strings.ReplaceAll(said, " 00:00:00 +0000 UTC", ""), part) {
			t.Errorf("in this season there is no %q:\n%.3000s", part, said)
		}
	}
	if n := strings.Count(said, "forecast HOME"); n < 100 {
		t.Errorf("only %d forecasts were issued", n)
	}
}

func TestADaysSlotsAgainChangeNothing(t *testing.T) {
	p := begin(t, "2016-04-20", inventedStation(civil.MustParse("2016-12-01")), hook(t))
	for _, day := range []string{"2016-04-21", "2016-05-02", "2016-05-05"} {
		until(t, p.App, day)
		before := p.said(t, true)
		now, _, err := p.DB().Clock(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{"pull", "evening", "pull"} {
			again := postgres.Plan{
				Run: postgres.Run{Name: name, Day: civil.At(now), Nominal: "again " + time.Now().String(), Due: now, At: now},
				Pieces: map[postgres.Phase][]string{
					postgres.Pull: {"station:MET"}, postgres.Advance: {"HOME"}, postgres.Tell: {"all"},
				},
			}
			if ok, err := p.DB().Begin(t.Context(), again); err != nil || !ok {
				t.Fatalf("begun %v: %v", ok, err)
			}
			if err := p.StepTo(t.Context(), now); err != nil {
				t.Fatal(err)
			}
			alike(t, "after "+name+" again on "+day, before, p.said(t, true))
		}
	}
}

// The database ends all connections again and again in the middle of a season;
// what comes out is the same, no mail is lost, and no more are repeated than
// were on their way.
func TestASeasonWithADatabaseThatGoesAwayEndsTheSame(t *testing.T) {
	station := inventedStation(civil.MustParse("2016-12-01"))
	calm := begin(t, "2016-04-24", station, hook(t))
	until(t, calm.App, bagsOn)
	calm.bagAll(t)
	until(t, calm.App, "2016-05-14")

	p := begin(t, "2016-04-24", station, hook(t))
	ctx, stop := context.WithCancel(t.Context())
	cut := make(chan int)
	go func() { cut <- cutConnections(ctx, p.dsn) }()
	away := p.onwards(t, bagsOn)
	stop()
	cuts := <-cut
	p.bagAll(t)
	p.onwards(t, "2016-05-14")
	alike(t, "with a database that goes away", calm.said(t, false), p.said(t, false))
	sent, want := len(p.box.all()), len(calm.box.all())
	t.Logf("%d cuts, %d times a step had to be taken again, %d mails instead of %d", cuts, away, sent, want)
	if cuts < 3 || sent < want || sent > want+cuts*4 {
		t.Errorf("%d cuts, %d mails instead of %d", cuts, sent, want)
	}
}

// cutConnections ends all connections to a database four times a second until
// ctx ends, and tells how often it did.
func cutConnections(ctx context.Context, dsn string) (cuts int) {
	conn, err := pgx.Connect(ctx, dsn)
	if err != nil {
		return 0
	}
	defer conn.Close(context.Background())
	for {
		select {
		case <-ctx.Done():
			return cuts
		case <-time.After(250 * time.Millisecond):
		}
		if _, err := conn.Exec(ctx, `select pg_terminate_backend(pid) from pg_stat_activity where datname = current_database() and pid <> pg_backend_pid()`); err == nil {
			cuts++
		}
	}
}
