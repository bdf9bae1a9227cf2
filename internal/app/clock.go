package app

import (
	"context"
	"fmt"
	"net"
	"net/url"
	"time"

	"budcall/internal/config"
	"budcall/internal/postgres"
)

// clock is the program's time: the wall clock, or a simulated one that stands
// in the database and lives in our rows only.
type clock struct {
	db        *postgres.DB
	simulated bool
	wall      func() time.Time // nil: time.Now
	first     time.Time        // when simulated time begins in a database that has none yet
}

// begin stores where simulated time begins, in a database that has none. It
// comes after the configuration was found harmless, since from then on the
// database is of simulated time for good.
func (c *clock) begin(ctx context.Context) error {
	if !c.simulated || c.first.IsZero() {
		return nil
	}
	return c.db.SetClock(ctx, c.first)
}

// now gives the program's time.
func (c *clock) now(ctx context.Context) (time.Time, error) {
	if !c.simulated {
		if c.wall != nil {
			return c.wall().UTC().Truncate(time.Microsecond), nil
		}
		return time.Now().UTC().Truncate(time.Microsecond), nil // as the database keeps it
	}
	at, found, err := c.db.Clock(ctx)
	if err == nil && !found && !c.first.IsZero() {
		return c.first, nil
	}
	if err == nil && !found {
		err = fmt.Errorf("the database has no simulated time: start with --clock DAY")
	}
	return at, err
}

// harmless refuses to simulate time where somebody could really be reached.
func harmless(p *config.Programme) error {
	if host, _, err := net.SplitHostPort(p.Mail.Relay); err != nil || !config.IsLoopback(host) {
		return fmt.Errorf("a simulated clock sends mails at made-up times, and the relay %s isn't on this machine: set mail: relay: to a sink on 127.0.0.1", p.Mail.Relay)
	}
	for _, h := range p.Webhooks {
		if !loopbackURL(h.URL) {
			return fmt.Errorf("a simulated clock sends messages at made-up times, and the webhook %s isn't on this machine: remove it or point it to 127.0.0.1", h.Name)
		}
	}
	for _, f := range p.Forecasts {
		if !loopbackURL(f.URL) {
			return fmt.Errorf("a simulated clock would ask the forecast %s a whole season's questions at once: remove it from the sites, or point it to a server on 127.0.0.1", f.Code)
		}
	}
	for _, s := range p.Stations {
		if s.URL != "" && !loopbackURL(s.URL) || s.Served && !loopbackURL(s.Service) {
			return fmt.Errorf("a simulated clock would ask the station %s a whole season's questions at once: use a file, or a server on 127.0.0.1", s.Code)
		}
	}
	return nil
}

func loopbackURL(raw string) bool {
	u, err := url.Parse(raw)
	return err == nil && config.IsLoopback(u.Hostname())
}
