package app

import (
	"context"
	"fmt"
	"net/http"
	"time"

	"budcall/internal/deliver"
	"budcall/internal/notice"
	"budcall/internal/postgres"
)

// gauges is what the program counts of itself.
type gauges struct{ version string }

func newGauges(version string) *gauges { return &gauges{version: version} }

func (g *gauges) sent(c notice.Channel, v deliver.Verdict, doubtful bool) {}
func (g *gauges) job(kind string, took time.Duration, err error)          {}
func (g *gauges) ready(err error)                                         {}
func (g *gauges) progress(loop string)                                    {}
func (g *gauges) refresh(ctx context.Context, db *postgres.DB, now time.Time) error {
	return nil
}
func (g *gauges) handler() http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { fmt.Fprintln(w, g.version) })
}
