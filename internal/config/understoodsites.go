package config

import (
	"fmt"
	"sort"
	"strings"
	"text/tabwriter"

	"budcall/internal/season"
)

func profilesTable(w *tabwriter.Writer, p *Programme) {
	row(w, "PROFILE", "STAGE", "", "HEAT", "HALF AT", "SPREAD")
	for _, key := range profileKeys(p) {
		for _, s := range p.Profiles[key].Stages {
			row(w, key, s.Code, s.Name, heatOf(s.Heat), plain(s.MedianCd)+" °C·d", plain(s.LogSD))
		}
		for _, h := range p.Profiles[key].Heats {
			row(w, key, "also", h.Name, countingOf(h), needsOf(h), "weight "+plain(h.Weight))
		}
	}
	row(w)
}

func profileKeys(p *Programme) []string {
	var keys []string
	for key := range p.Profiles {
		keys = append(keys, key)
	}
	sort.Strings(keys)
	return keys
}

func sitesTable(w *tabwriter.Writer, p *Programme) {
	row(w, "SITE", "NAME", "POSITION", "ALTITUDE", "ZONE", "PROFILE", "FORECAST")
	for _, s := range p.Sites {
		row(w, s.Code, s.Name, position(s.LatDeg, s.LonDeg), metres(s.AltitudeM), s.Zone, s.Profile, orElse(s.Forecast, noForecast))
	}
	row(w)
}

// siteWorkTable gives who goes to which trees, and by which readings.
func siteWorkTable(w *tabwriter.Writer, p *Programme) {
	row(w, "SITE", "LEAD", "TREES", "STATIONS", "ITS OWN SETTINGS")
	for _, s := range p.Sites {
		row(w, s.Code, with(s.Lead, "deputy", s.Deputy), treesOf(s), weatherOf(s, p), differing(s.Settings, p.Settings))
	}
	row(w)
}

// settingsTable lists every setting of the calls with its value, says which were
// changed, and how far a site's people may change it by a page or a mail.
func settingsTable(w *tabwriter.Writer, p *Programme) {
	row(w, "CALLS", "VALUE", "USUAL", "SITES MAY SAY")
	for _, c := range callSettings {
		usual := shown(c.key, season.Defaults())
		if usual == shown(c.key, p.Settings) {
			usual = ""
		}
		free := ""
		if span, ok := p.Editing.Calls[c.key]; ok {
			free = c.said(span.Low) + " to " + c.said(span.High)
		}
		row(w, c.key, shown(c.key, p.Settings), usual, free)
	}
}

// differing lists the settings of a site that aren't the programme's.
func differing(site, programme season.Settings) string {
	var parts []string
	for _, c := range callSettings {
		if v := shown(c.key, site); v != shown(c.key, programme) {
			parts = append(parts, c.key+" "+v)
		}
	}
	return strings.Join(parts, ", ")
}

func stationsOf(s Site, all []Station) string {
	var parts []string
	for _, code := range s.Stations {
		for _, t := range all {
			if t.Code == code {
				parts = append(parts, fmt.Sprintf("%s %.0f km %+.0f m", code, s.DistanceKm(t), s.AltitudeM-t.AltitudeM))
			}
		}
	}
	return strings.Join(parts, ", ")
}

// weatherOf gives by which stations a site's weather is known, and whether there
// are normals for want of past years.
func weatherOf(s Site, p *Programme) string {
	stations := stationsOf(s, p.Stations)
	if n := p.Normals(s); n != nil {
		return fmt.Sprintf("%s, normals about %.0f", stations, n.MidYear)
	}
	return stations
}

// treesOf gives the number of trees of which something is asked, and of those
// that are gone.
func treesOf(s Site) string {
	gone := 0
	for _, t := range s.Trees {
		if t.Gone {
			gone++
		}
	}
	if gone > 0 {
		return fmt.Sprintf("%d (%d gone)", len(s.Trees)-gone, gone)
	}
	return fmt.Sprint(len(s.Trees))
}
