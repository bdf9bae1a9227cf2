package app

import (
	"context"
	"net/http"
	"net/http/httptest"
)

// Scrape gives, for tests, what Prometheus would read now.
func (a *App) Scrape(ctx context.Context) (string, error) {
	now, err := a.clock.now(ctx)
	if err == nil {
		err = a.gauges.refresh(ctx, a.db, now)
	}
	w := httptest.NewRecorder()
	a.gauges.m.Handler().ServeHTTP(w, httptest.NewRequestWithContext(ctx, http.MethodGet, "/metrics", nil))
	return w.Body.String(), err
}
