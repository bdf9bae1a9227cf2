package cli

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/feed"
	"budcall/internal/replay"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

// replayInput is what was known of a season.
type replayInput struct {
	series  map[string]*replay.Series
	outlook func(ctx context.Context, site string, at time.Time) ([]weather.Day, time.Time, error)
	past    []trail.Report
	said    [][]trail.Report // within the days played, as it was said, in order
}

// read gathers what was known: readings, short-range forecasts and reports.
func (o *replayOptions) read(ctx context.Context) (in replayInput, err error) {
	in.series = map[string]*replay.Series{}
	for _, st := range o.programme.Stations {
		if !o.used(st.Code) {
			continue
		}
		days, found, err := o.readings(ctx, st)
		if err != nil {
			return in, err
		}
		if !found {
			continue
		}
		if in.series[st.Code], err = replay.NewSeries(days); err != nil {
			return in, fmt.Errorf("the readings of station %s: %w", st.Code, err)
		}
		if err := o.addWinds(ctx, st.Code, in.series[st.Code]); err != nil {
			return in, err
		}
	}
	if o.beside != nil {
		in.outlook = o.beside.Outlook
	}
	reports, err := o.reportsRead(ctx)
	if err != nil {
		return in, err
	}
	var season []trail.Report
	later := 0
	for _, r := range reports {
		switch {
		case r.At.Before(o.firstDay.In(time.UTC, 0, 0)):
			in.past = append(in.past, r)
		case r.At.Before((o.lastDay + 1).In(time.UTC, 0, 0)):
			season = append(season, r)
		default:
			later++
		}
	}
	if later > 0 && o.reports != "" {
		fmt.Fprintf(o.streams.Err, "%d lines of %s came after %s and are left out\n", later, o.reports, o.lastDay)
	}
	in.said = replay.Grouped(season)
	return in, nil
}

// addWinds lets a station have the winds of the season that the memory holds.
func (o *replayOptions) addWinds(ctx context.Context, station string, to *replay.Series) error {
	if o.beside == nil {
		return nil
	}
	winds, err := o.beside.Winds(ctx, station, o.firstDay.Year(), o.lastDay.Year())
	to.WithWinds(winds)
	return err
}

// used reports whether a site takes a station's readings.
func (o *replayOptions) used(station string) bool {
	return slices.ContainsFunc(o.programme.Sites, func(s config.Site) bool { return slices.Contains(s.Stations, station) })
}

// readings gives the readings of a station that isn't pulled from its file.
func (o *replayOptions) readings(ctx context.Context, st config.Station) (days []weather.Day, found bool, err error) {
	if o.data != "" {
		path := filepath.Join(o.data, st.Code+".csv")
		body, err := os.Open(path)
		switch {
		case err == nil:
			defer body.Close()
			days, err = plainReadings(path, body)
			return days, true, err
		case !errors.Is(err, fs.ErrNotExist):
			return nil, false, fmt.Errorf("reading the readings of station %s: %w (--data names a folder of files CODE.csv)", st.Code, err)
		}
	}
	if st.Path != "" {
		return nil, false, nil
	}
	if o.beside == nil {
		return nil, false, fmt.Errorf("the station %s is fetched from a service, which isn't asked about past seasons: name the database that has its readings with --state or --database-file, or a folder with %s.csv with --data", st.Code, st.Code)
	}
	const longest = 100 // years; more is never looked at
	days, err = o.beside.Readings(ctx, st.Code, o.year-longest, o.year)
	return days, true, err
}

// plainReadings reads a file of daily temperatures in degrees Celsius.
func plainReadings(path string, body *os.File) ([]weather.Day, error) {
	batch, err := feed.Parse("delimited", body, feed.Options{Unit: "C"})
	if err != nil {
		return nil, located(path, err)
	}
	days, suspicion := weather.JudgeAll(batch.Days)
	if suspicion != "" {
		return nil, fmt.Errorf("%s: %s: write it in degrees Celsius", path, suspicion)
	}
	return days, nil
}

// reportsRead gives what was reported in this season and those before, in the
// order in which it came.
func (o *replayOptions) reportsRead(ctx context.Context) (all []trail.Report, err error) {
	switch {
	case o.reports != "":
		body, name, err := open(o.reports, o.streams)
		if err != nil {
			return nil, err
		}
		defer body.Close()
		if all, err = replay.ReadReports(body, name, o.programme); err != nil {
			return nil, err
		}
	case o.beside != nil:
		var sites []string
		for _, s := range o.programme.Sites {
			sites = append(sites, s.Code)
		}
		const longest = 50 // seasons; more is never looked at
		if all, err = o.beside.Reported(ctx, sites, o.year-longest, o.year); err != nil {
			return nil, err
		}
	}
	slices.SortStableFunc(all, func(a, b trail.Report) int { return a.At.Compare(b.At) })
	return all, nil
}

// readingsMissing refuses a season without any readings, and says on standard
// error which days of it are missing.
func (o *replayOptions) readingsMissing(ctx context.Context, s *replay.Season) error {
	year := civil.Range{First: civil.Of(o.year, 1, 1), Last: o.lastDay - 1}
	known := map[string]int{}
	for _, st := range o.programme.Stations {
		if !o.used(st.Code) {
			continue
		}
		days, err := s.Readings(ctx, st.Code, o.year)
		if err != nil {
			return err
		}
		for _, d := range days {
			if _, _, ok := d.Mean(); ok && year.Has(d.Date) {
				known[st.Code]++
			}
		}
		if n := known[st.Code]; n < year.Len() {
			fmt.Fprintf(o.streams.Err, "station %s: %d of the %d days from %s on have no usable reading\n", st.Code, year.Len()-n, year.Len(), year.First)
		}
	}
	for _, site := range o.programme.Sites {
		if !slices.ContainsFunc(site.Stations, func(code string) bool { return known[code] > 0 }) {
			return fmt.Errorf("%s has no reading of %d from any of its stations (%v): check --year, the stations' files, or give --data%s",
				site.Code, o.year, site.Stations, troublesSaid(s))
		}
	}
	return nil
}

func troublesSaid(s *replay.Season) (text string) {
	for _, t := range s.Troubles() {
		text += "\n  " + t
	}
	return text
}
