package app

import (
	"errors"
	"fmt"

	"budcall/internal/civil"
	"budcall/internal/config"
)

// OldestPast is the first day that any provider is asked for: the oldest series
// of daily temperatures that still go on begin in the middle of the eighteenth
// century (Stockholm and Uppsala, Milan; common knowledge).
var OldestPast = civil.Of(1750, 1, 1)

// stationPart is a part of a station's past.
type stationPart struct {
	served
	station config.Station
}

// provider is who is asked: what one station of it is told holds for all.
func (s stationPart) provider() string { return s.series.Provider + " " + s.series.Base }

// partsWanted gives the parts to fetch, station by station in the order in
// which the site names them, and the site's stations that have none.
func (b *Beside) partsWanted(o BackFill, today civil.Date) (parts []stationPart, leftOut []LeftOut, err error) {
	stations, err := b.stationsWanted(o)
	if err != nil {
		return nil, nil, err
	}
	since := o.Since
	if since.IsZero() {
		since = max(OldestPast, civil.Of(today.Year()-o.Years, 1, 1))
	}
	for _, st := range stations {
		s, ok := servedStation(st, b.programme.Zone)
		if !ok {
			leftOut = append(leftOut, LeftOut{st.Code, notServed(st)})
			continue
		}
		of, err := s.parts(since, today)
		if err != nil {
			return nil, nil, fmt.Errorf("station %s: %w", st.Code, err)
		}
		for _, p := range of {
			parts = append(parts, stationPart{p, st})
		}
	}
	if len(parts) == 0 {
		var why []error
		for _, l := range leftOut {
			why = append(why, l.Why)
		}
		return nil, leftOut, errors.Join(why...)
	}
	return parts, leftOut, nil
}

// stationsWanted gives the station, or all of the site.
func (b *Beside) stationsWanted(o BackFill) ([]config.Station, error) {
	codes := []string{o.Station}
	if o.Site != "" {
		site, err := b.site(o.Site)
		if err != nil {
			return nil, err
		}
		codes = site.Stations
	}
	var stations []config.Station
	for _, code := range codes {
		st, ok := b.programme.Station(code)
		if !ok {
			return nil, &Unknown{What: "station", Name: code, Known: names(b.programme.Stations, func(s config.Station) string { return s.Code })}
		}
		stations = append(stations, st)
	}
	return stations, nil
}
