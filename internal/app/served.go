package app

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"slices"
	"strings"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/fetch"
	"budcall/internal/pull"
)

// served is what the fetcher must know to ask a station's provider.
type served struct {
	series  fetch.Series
	keyFile string
	zone    *time.Location // whose day today is
	past    *fetch.Query   // a part of the past; nil: what is new
}

// servedStation gives how a station's provider is asked; ok is false for a
// station that has a file or an address of its own.
func servedStation(st config.Station, zone *time.Location) (s served, ok bool) {
	s = served{keyFile: st.KeyFile, zone: zone, series: fetch.Series{
		Provider: st.Format, Base: st.Service, ID: st.ID, Hourly: st.Hourly, Keyed: st.KeyFile != "",
		LatitudeDeg: st.LatDeg, LongitudeDeg: st.LonDeg, AltitudeM: st.AltitudeM,
	}}
	if st.Zone != nil { // a fixed offset is no zone that a provider knows
		if name := st.Zone.String(); !strings.HasPrefix(name, "UTC+") && !strings.HasPrefix(name, "UTC-") {
			s.series.Zone = name
		}
	}
	return s, st.Served
}

// query gives what is asked at a moment, where the days up to newest are stored.
func (s served) query(newest civil.Date, now time.Time) (fetch.Query, error) {
	if s.past != nil {
		return *s.past, nil
	}
	return s.series.Recent(newest, civil.At(now.In(s.zone)))
}

// askServed asks a station's provider.
func (f *fetcher) askServed(ctx context.Context, a pull.Asking, s served) (pull.Answer, error) {
	q, err := s.query(a.Newest, a.Now)
	if err != nil {
		return pull.Answer{}, err
	}
	r := fetch.Request{URL: q.URL, Source: a.Name, Link: q.Link, Rules: q.Rules}
	if f.hasty {
		r.Rules.Interval = 0
	}
	if r.Key, err = f.secrets.one(s.keyFile); err != nil {
		return pull.Answer{}, err
	}
	if !q.Moving && len(q.Beside) == 0 { // of several files one may be as it was and another not
		r.IfModifiedSince, r.ETag = a.LastModified, a.ETag
	}
	answer, err := f.getAll(ctx, r, s.series.Provider, q.Beside)
	if s.saysNothing(err) {
		return pull.Answer{Empty: true}, nil
	}
	if err != nil && s.keyFile != "" {
		f.secrets.forget() // a wrong key may be mended in its file
	}
	return answer, err
}

// saysNothing tells the statuses by which Frost says that it has no data of the
// days asked for (404, 412); of a file they say that it isn't where it was.
func (s served) saysNothing(err error) bool {
	return s.series.Provider == config.FormatFrost && errors.Is(err, fetch.ErrNothing)
}

// forecastURL gives the address of a site's forecast.
func forecastURL(f config.Forecast, s config.Site) (string, error) {
	switch f.Format {
	case config.FormatSMHIForecast:
		return fetch.SMHIForecastURL(f.URL, s.LatDeg, s.LonDeg)
	case config.FormatMOSMIX:
		return fetch.MOSMIXURL(f.URL, f.ID)
	}
	return fetch.MetNorwayURL(f.URL, s.LatDeg, s.LonDeg, s.AltitudeM)
}

// parts gives the parts of a station's past since a day, each one request to
// its provider, the oldest first.
func (s served) parts(since, today civil.Date) ([]served, error) {
	qs, err := s.series.Since(since, today)
	if err != nil {
		return nil, err
	}
	var all []served
	for _, q := range qs {
		part := s
		part.past = &q
		all = append(all, part)
	}
	return all, nil
}

// source names where a station's past comes from, without secrets.
func (s served) source() string {
	at := s.series.Base
	if u, err := url.Parse(at); err == nil {
		at = u.Host
	}
	words := []string{s.series.Provider, s.series.ID, at}
	if s.series.Hourly {
		words = append(words, "hourly")
	}
	return strings.Join(slices.DeleteFunc(words, func(w string) bool { return w == "" }), " ")
}

// notServed says why a station has no past to fetch.
func notServed(st config.Station) error {
	return fmt.Errorf("station %s has a file or an address of its own, which is read whole at every pull: put the past into that file, or let the provider be asked, by id and without path and url", st.Code)
}
